// A person on a seat, as the sound field meets one: a body that absorbs.
#pragma once

#include <string>
#include <vector>

#include "geometry/cabin.h"

namespace cabinfield {

/// Trunk with arms, thighs, and lower legs with feet, as three blocks of 70 L together, placed from the
/// middle between the ears; no head, whose place the ears need. Of a middle-sized adult (invented after the
/// usual figures of body segments, from memory: ears 0.70 m over the seat as in ISO 5128, shoulders 0.20 m
/// below the ears, knees 0.54 m before the small of the back).
///
/// It leans against the back and sits on the cushion that `cabin` holds there, and sinks 50 mm into either.
/// Where there is none it leans back by 20 degrees. The feet go through the floor.
std::vector<Block> person_on(const std::string& seat, const Vector3& head, int material, const Cabin& cabin);

/// The model that tells how a person absorbs: a material of the scene, or of the models that come with it.
inline constexpr const char* person_material = "person";

}  // namespace cabinfield
