// The terminal summary: what decides first, in numbers as exact as they deserve (whole dB, 10 mm, 0.1 ms).
#pragma once

#include <string>
#include <vector>

#include "fitting/fit_scene.h"
#include "predict/results.h"
#include "scene/scene.h"

namespace cabinfield::command {

/// What was asked, does it fit, path-length differences, distances and angles, marks, tapes.
std::string plan_summary(const Scene& scene, const Results& results, bool all);

/// The plan around the sound: rules that do not hold, cautions, outputs, wiring, supply, load space.
/// `propose` prints what the scene leaves open as keys to copy.
std::string system_summary(const Scene& scene, const Results& results, bool all, bool propose);

/// Left against right, level and share of each channel (of one preset, or of all), notches, delays of every
/// preset.
std::string response_summary(const Scene& scene, const Results& results, int preset, bool all);

/// The loudest of one preset before a limit, and what that is.
std::string loudest_summary(const Scene& scene, const Results& results, int preset, bool all);

/// The cabin's lowest modes in words, how the field was computed, and what was done on the way.
std::string field_summary(const Scene& scene, const Results& results, bool all);

/// Position of a preset; -1, and a line to stderr, where the scene has none of that name.
int preset_position(const Scene& scene, const std::string& name);

/// What moved, each tape before and after, which looks wrong and which no other checks.
std::string fit_summary(const FittedScene& fitted, const std::string& output);

bool any_violated(const std::vector<Check>& checks);

}  // namespace cabinfield::command
