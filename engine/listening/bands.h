// Levels in bands: third octaves of IEC 61260-1 (base ten, G = 10^0.3), and any other range.
//
// Responses are weighted as by pink noise, every octave equally: the mean square over a band is taken
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
  std::string label;  ///< nominal mid-band frequency: "315 Hz", "1.6 kHz"
};

/// Third octaves with nominal mid-band frequencies from `from_hz` to `to_hz`, both included.
std::vector<Band> third_octave_bands(double from_hz, double to_hz);

/// Mean of `square` over ln f from low to high, interpolated linearly in ln f; empty where the frequencies
/// cover less than half of the band (in ln f) or are fewer than two.
std::optional<double> band_mean_square(std::span<const double> frequency_hz, std::span<const double> square,
                                       double low_hz, double high_hz);

/// Mean |p|^2 of two ears at each frequency.
std::vector<double> mean_square_of_ears(const Complex* left, const Complex* right, std::size_t count);

/// 10 lg(mean square / (20 uPa)^2), dB.
double sound_level_db(double mean_square_pa2);

}  // namespace cabinfield
