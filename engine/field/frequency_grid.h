// Frequency grids whose values double every octave, so that phases follow by angle doubling.
#pragma once

#include <vector>

namespace cabinfield {

/// from * 2^(i / per_octave) up to `to` (included within rounding). Values one octave apart differ by
/// exactly 2.
std::vector<double> octave_grid_hz(double from_hz, double to_hz, int per_octave);

/// The step p with f[i + p] = 2 f[i] to the last bit for all i, or 0.
int octave_step(const std::vector<double>& frequency_hz);

}  // namespace cabinfield
