#include "channel/equaliser.h"

#include <cmath>
#include <stdexcept>

#include "base/constants.h"

namespace cabinfield {
namespace {

Biquad normalised(double b0, double b1, double b2, double a0, double a1, double a2) {
  return {b0 / a0, b1 / a0, b2 / a0, a1 / a0, a2 / a0};
}

// The cookbook's high shelf is its low shelf with the signs of every cosine, b1 and a1 reversed.
Biquad shelf(double amplitude, double cosine, double alpha, double sign) {
  const double c = sign * cosine;
  const double up = amplitude + 1.0;
  const double down = amplitude - 1.0;
  const double skirt = 2.0 * std::sqrt(amplitude) * alpha;
  return normalised(amplitude * (up - down * c + skirt), sign * 2.0 * amplitude * (down - up * c),
                    amplitude * (up - down * c - skirt), up + down * c + skirt, sign * -2.0 * (down + up * c),
                    up + down * c - skirt);
}

}  // namespace

Biquad equaliser_section(const EqualiserBand& band, double sample_rate_hz) {
  require_corner_below_half_rate(band.frequency_hz, sample_rate_hz);
  if (!(band.q > 0 && std::isfinite(band.q))) throw std::invalid_argument("q must be greater than 0");
  if (!std::isfinite(band.gain_db)) throw std::invalid_argument("gain must be a finite number of dB");

  const double angle = 2.0 * pi * band.frequency_hz / sample_rate_hz;
  const double cosine = std::cos(angle);
  const double alpha = std::sin(angle) / (2.0 * band.q);
  const double amplitude = std::pow(10.0, band.gain_db / 40.0);

  switch (band.shape) {
    case EqualiserShape::peak:
      return normalised(1.0 + alpha * amplitude, -2.0 * cosine, 1.0 - alpha * amplitude,
                        1.0 + alpha / amplitude, -2.0 * cosine, 1.0 - alpha / amplitude);
    case EqualiserShape::low_shelf:
      return shelf(amplitude, cosine, alpha, 1.0);
    case EqualiserShape::high_shelf:
      return shelf(amplitude, cosine, alpha, -1.0);
    case EqualiserShape::all_pass:
      return normalised(1.0 - alpha, -2.0 * cosine, 1.0 + alpha, 1.0 + alpha, -2.0 * cosine, 1.0 - alpha);
  }
  throw std::invalid_argument("unknown equaliser shape");
}

}  // namespace cabinfield
