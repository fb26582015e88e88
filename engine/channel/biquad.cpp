#include "channel/biquad.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "base/constants.h"

namespace cabinfield {
namespace {

// c0 + c1 z^-1 + c2 z^-2 without its factor z^-1, which cancels in H. sin^2(w/2) instead of 1 - cos w avoids
// cancellation at low corner frequencies.
Complex centred(double c0, double c1, double c2, double half_angle_sine, double angle_sine) {
  return {(c0 + c1 + c2) - 2.0 * (c0 + c2) * half_angle_sine * half_angle_sine, (c0 - c2) * angle_sine};
}

}  // namespace

Complex Biquad::response(double frequency_hz, double sample_rate_hz) const {
  const double half_angle = pi * std::min(frequency_hz / sample_rate_hz, 0.5);
  const double half_angle_sine = std::sin(half_angle);
  const double angle_sine = std::sin(2.0 * half_angle);
  return centred(b0, b1, b2, half_angle_sine, angle_sine) / centred(1.0, a1, a2, half_angle_sine, angle_sine);
}

bool Biquad::stable() const { return std::abs(a2) < 1.0 && std::abs(a1) < 1.0 + a2; }

std::vector<Complex> cascade_response(const std::vector<Biquad>& sections,
                                      const std::vector<double>& frequency_hz, double sample_rate_hz) {
  std::vector<Complex> response(frequency_hz.size(), Complex(1.0));
  for (const Biquad& section : sections)
    for (std::size_t f = 0; f < response.size(); ++f)
      response[f] *= section.response(frequency_hz[f], sample_rate_hz);
  return response;
}

void require_corner_below_half_rate(double frequency_hz, double sample_rate_hz) {
  if (!(sample_rate_hz > 0 && std::isfinite(sample_rate_hz)))
    throw std::invalid_argument(fmt::format("sample rate {:g} Hz must be greater than 0", sample_rate_hz));
  if (!(frequency_hz > 0 && frequency_hz < 0.5 * sample_rate_hz))
    throw std::invalid_argument(
        fmt::format("filter frequency {:g} Hz is outside 0 to {:g} Hz, half the sample rate", frequency_hz,
                    0.5 * sample_rate_hz));
}

}  // namespace cabinfield
