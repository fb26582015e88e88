// The part of a started scene that concerns drivers: which of the shape's places are used, their channels and
// a preset.
#pragma once

#include <string>
#include <vector>

#include "fitting/start_scene.h"

namespace cabinfield {

/// Lines of the sections drivers and boxes of a scene, with places that are not wanted as comments.
/// `text`, `root`: a scene whose last sections are drivers and boxes.
std::string with_wanted_places(const std::string& text, const Node& root, const StartDrivers& options);

/// Section channels. `body`: with all of the shape's places taken; no corner is below what a model allows.
std::string channels_text(const StartDrivers& options, const Scene& body);
/// Section presets. `scene`: with the wanted drivers and channels; delays line their arrivals up at the
/// driver's seat.
std::string preset_text(const Scene& scene);

}  // namespace cabinfield
