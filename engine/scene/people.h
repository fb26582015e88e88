// A person on a seat: an absorbing body in the sound field.
#pragma once

#include <string>
#include <vector>

#include "geometry/cabin.h"

namespace cabinfield {

/// Trunk with arms, thighs, and lower legs with feet, as three blocks of 70 L together, placed from the
/// middle between the ears. No head, since the ears are there. A middle-sized adult (invented, after usual
/// figures of body segments, from memory: ears 0.70 m above the seat as in ISO 5128, shoulders 0.20 m below
/// the ears, knees 0.54 m in front of the small of the back).
///
/// The person leans against the backrest and sits on the cushion of `cabin`, 50 mm deep in each; without a
/// backrest, leans back by 20 degrees. The feet may go through the floor.
std::vector<Block> person_on(const std::string& seat, const Vector3& head, int material, const Cabin& cabin);

/// Name of the absorption model of a person: a material of the scene or of the library.
inline constexpr const char* person_material = "person";

}  // namespace cabinfield
