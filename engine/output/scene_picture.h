// A scene drawn to scale on a sheet to print and write on: side, front and plan view, with a list of drivers,
// marks and tapes beside room for what was found in the car.
#pragma once

#include <string>

#include "scene/scene.h"

namespace cabinfield {

/// A tape without a length stands for one yet to be taken; one without `to` is called by `from` alone.
/// An SVG page of 420 x 297 mm (ISO 216 A3). Works for scenes without a cabin, seats or drivers too.
std::string scene_picture(const Scene& scene);

}  // namespace cabinfield
