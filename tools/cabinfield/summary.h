// The terminal summary: the most important first, rounded to what the prediction can support (whole dB, 10
// mm, 0.1 ms).
#pragma once

#include <string>
#include <vector>

#include "fitting/fit_scene.h"
#include "predict/results.h"
#include "scene/scene.h"

namespace cabinfield::command {

/// The brief, whether everything fits, path-length differences, distances and angles, marks, tapes.
std::string plan_summary(const Scene& scene, const Results& results, bool all);

/// The system plan: broken rules, cautions, outputs, wiring, supply, load space. `propose` prints what the
/// scene leaves open as keys to copy.
std::string system_summary(const Scene& scene, const Results& results, bool all, bool propose);

/// Left against right, level and share of each channel (of one preset, or of all), notches, delays of every
/// preset.
std::string response_summary(const Scene& scene, const Results& results, int preset, bool all);

/// The highest level of one preset before something reaches its limit, and what does.
std::string loudest_summary(const Scene& scene, const Results& results, int preset, bool all);

/// The cabin's lowest modes, how the field was computed, and its notes.
std::string field_summary(const Scene& scene, const Results& results, bool all);

/// Index of a preset; -1, and a line to stderr, if the scene has none of that name.
int preset_position(const Scene& scene, const std::string& name);

/// What moved, each tape before and after, which looks wrong, and which no other tape checks.
std::string fit_summary(const FittedScene& fitted, const std::string& output);

bool any_violated(const std::vector<Check>& checks);

}  // namespace cabinfield::command
