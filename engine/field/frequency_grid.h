// Frequencies, and their octaves: a grid whose values double every so many lets phases be found by squaring.
#pragma once

#include <vector>

namespace cabinfield {

/// from * 2^(i / per_octave) up to `to` (included within rounding). Values an octave apart double exactly.
std::vector<double> octave_grid_hz(double from_hz, double to_hz, int per_octave);

/// The step p with f[i + p] = 2 f[i] to the last bit for all i, or 0 where there is none.
int octave_step(const std::vector<double>& frequency_hz);

}  // namespace cabinfield
