// Equaliser bands as one digital section each: coefficients of the Audio EQ Cookbook (R. Bristow-Johnson; W3C
// Group Note, 2021), with its digital frequency w0 = 2 pi f0/fs, amplitude A = 10^(gain/40) and alpha =
// sin(w0)/(2 Q).
#pragma once

#include "channel/biquad.h"

namespace cabinfield {

enum class EqualiserShape { peak, low_shelf, high_shelf, all_pass };

/// One band of an equaliser. At f0 a peak has its full gain, a shelf half of it in dB; an all-pass ignores
/// gain.
struct EqualiserBand {
  EqualiserShape shape = EqualiserShape::peak;
  double frequency_hz = 0;
  double gain_db = 0;
  double q = 0.70710678118654752;
  bool operator==(const EqualiserBand&) const = default;
};

/// The section of a band. Throws std::invalid_argument for a frequency outside 0 to sample_rate/2, q <= 0, or
/// a gain that is not finite.
Biquad equaliser_section(const EqualiserBand& band, double sample_rate_hz);

}  // namespace cabinfield
