// Means over bands as sums: what each frequency of a grid weighs, found once and used for any number of
// responses.
//
// The mean is that of bands.h: over the logarithm of frequency, straight between the frequencies. With the
// weights of a band, mean = sum_f weight[f] square[f], and the weights add up to 1.
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

/// Why a band cannot be judged on these (rising) frequencies, in words that begin with the band; empty where
/// it can: it has a width, a frequency lies in it, and they reach over at least half of it (in octaves).
std::optional<std::string> band_problem(std::span<const double> frequency_hz, FrequencyRange band);

/// Weights of the part of the band that the frequencies reach over. At least two frequencies, which reach
/// into the band.
BandWeights band_weights(std::span<const double> frequency_hz, FrequencyRange band);

/// A third octave of IEC 61260-1, or what of it lies in a band.
struct BandSlice {
  std::string label;  ///< of the whole third octave: "63 Hz"
  double low_hz = 0, high_hz = 0;
  double middle_hz = 0;  ///< geometric mean of what lies in the band
  double share = 0;      ///< of the band, in octaves: the shares add up to 1
  BandWeights weights;
};

/// A band cut at the edges of the third octaves; of it, what the frequencies reach over. So a mean over the
/// band is sum share * mean over the slice.
std::vector<BandSlice> third_octave_slices(std::span<const double> frequency_hz, FrequencyRange band);

/// At each frequency the mean over the octave about it (as far as the frequencies reach).
std::vector<BandWeights> octave_about_each(std::span<const double> frequency_hz);

}  // namespace cabinfield
