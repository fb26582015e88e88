// The strongest reflections and the deepest notches of a prediction, with the surfaces that cause them.
#pragma once

#include <vector>

#include "predict/results.h"
#include "scene/scene.h"

namespace cabinfield {

/// Fills results.reflection and, where there are channels, results.notch. Needs the responses of preset
/// as_drawn.
void explain(const Scene& scene, Results& results);

/// A local minimum of a response and its level relative to the mean of the surrounding octave.
struct Dip {
  std::size_t index = 0;
  double depth_db = 0;  ///< negative
};

/// Dips of |p|^2 between two frequencies with a depth of `least_db` or below, deepest first; of two within a
/// sixth of an octave only the deeper one.
std::vector<Dip> find_dips(const std::vector<double>& frequency_hz, const std::vector<double>& square,
                           double from_hz, double to_hz, double least_db);

}  // namespace cabinfield
