// One section of a digital filter, and the response of several in a row. H is evaluated on e^{+j omega t}, z
// = e^{j omega/fs}.
#pragma once

#include <vector>

#include "base/vector.h"

namespace cabinfield {

/// (b0 + b1 z^-1 + b2 z^-2) / (1 + a1 z^-1 + a2 z^-2). A first-order section has b2 = a2 = 0.
struct Biquad {
  double b0 = 1, b1 = 0, b2 = 0, a1 = 0, a2 = 0;

  /// At a frequency in Hz, 0 to sample_rate/2; above that, where a processor has no output, the value at
  /// sample_rate/2.
  Complex response(double frequency_hz, double sample_rate_hz) const;

  /// True if both poles are inside the unit circle.
  bool stable() const;
};

/// Product of the sections' responses (Biquad::response) at each frequency.
std::vector<Complex> cascade_response(const std::vector<Biquad>& sections,
                                      const std::vector<double>& frequency_hz, double sample_rate_hz);

/// Throws std::invalid_argument unless 0 < frequency < sample_rate/2, the range of a filter's corner.
void require_corner_below_half_rate(double frequency_hz, double sample_rate_hz);

}  // namespace cabinfield
