// Means over bands as weighted sums: the weight of each frequency of a grid, computed once for any number of
// responses.
//
// The mean is that of bands.h, over the logarithm of frequency with linear interpolation. With the weights of
// a band, mean = sum_f weight[f] square[f]; the weights sum to 1.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "listening/bands.h"
#include "listening/interaural.h"

namespace cabinfield {

struct BandWeights {
  std::size_t first = 0;  ///< index of the frequency that weight.front() belongs to
  std::vector<double> weight;

  /// `square` holds one value for every frequency of the grid.
  double mean(const double* square) const {
    double sum = 0;
    for (std::size_t i = 0; i < weight.size(); ++i) sum += weight[i] * square[first + i];
    return sum;
  }
};

/// Why a band cannot be evaluated on these rising frequencies, as text that starts with the band. Empty where
/// it has a width, contains a frequency, and the frequencies cover at least half of it (in octaves).
std::optional<std::string> band_problem(std::span<const double> frequency_hz, FrequencyRange band);

/// Weights over the part of the band that the frequencies cover. Needs two frequencies or more that overlap
/// the band.
BandWeights band_weights(std::span<const double> frequency_hz, FrequencyRange band);

/// A third octave of IEC 61260-1, or the part of it in a band.
struct BandSlice {
  std::string label;  ///< of the whole third octave: "63 Hz"
  double low_hz = 0, high_hz = 0;
  double middle_hz = 0;  ///< geometric mean of its edges
  double share = 0;      ///< of the band in octaves; shares sum to 1
  BandWeights weights;
};

/// The part of a band that the frequencies cover, split at the edges of third octaves: a mean over the band
/// is sum share * mean over the slice.
std::vector<BandSlice> third_octave_slices(std::span<const double> frequency_hz, FrequencyRange band);

/// Mean over the octave centred at each frequency (as far as the frequencies reach).
std::vector<BandWeights> octave_about_each(std::span<const double> frequency_hz);

}  // namespace cabinfield
