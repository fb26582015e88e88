// A scene to scale on a sheet to print and write on: side view, front view and plan, with a list of drivers,
// marks and tapes and blanks for the lengths measured in the car.
#pragma once

#include <string>

#include "scene/scene.h"

namespace cabinfield {

/// An SVG page of 420 x 297 mm (ISO 216 A3); also for scenes without a cabin, seats or drivers. A tape
/// without a length is one yet to be measured; one without `to` has the name `from`.
std::string scene_picture(const Scene& scene);

}  // namespace cabinfield
