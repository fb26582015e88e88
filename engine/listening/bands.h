// Levels in bands: third octaves of IEC 61260-1 (base ten, G = 10^0.3), and any other range.
//
// A response is weighed as pink noise weighs it, every octave alike: the mean square over a band is taken
// over the logarithm of frequency.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/vector.h"

namespace cabinfield {

struct Band {
  double low_hz = 0, middle_hz = 0, high_hz = 0;
  std::string label;  ///< nominal middle: "315 Hz", "1.6 kHz"
};

/// Third octaves whose middles lie from `from_hz` to `to_hz`, both included by their nominal values.
std::vector<Band> third_octave_bands(double from_hz, double to_hz);

/// Mean of `square` over ln f from low to high, interpolated linearly in ln f; empty where the frequencies do
/// not reach over at least half of the band (in ln f) or fewer than two of them lie in or beside it.
std::optional<double> band_mean_square(std::span<const double> frequency_hz, std::span<const double> square,
                                       double low_hz, double high_hz);

/// |p|^2 of the mean power of two ears, at each frequency.
std::vector<double> mean_square_of_ears(const Complex* left, const Complex* right, std::size_t count);

/// 10 lg(mean square / (20 uPa)^2), dB.
double sound_level_db(double mean_square_pa2);

}  // namespace cabinfield
