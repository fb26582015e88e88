// A gain over frequency with the phase of a minimum-phase system: causal, stable, and as quick as any of that
// gain.
//
// Bode, Network Analysis and Feedback Amplifier Design (1945), ch. XIV, time convention e^{+j omega t}:
//
//   phase(f) = 1/pi int dA/du ln coth |u/2| du,  u = ln(f'/f),  A the natural logarithm of the gain.
//
// The gain is a broken line of dB over the logarithm of frequency, constant below its first point and above
// its last; for such a line the integral is exact: each piece gives its slope times the difference of
//
//   int_0^u ln coth(t/2) dt = pi^2/4 - 2 chi_2(e^-u),  chi_2(x) = sum x^(2n+1)/(2n+1)^2  (Legendre's chi),
//
// at its ends. No transform, so no grid, no top frequency and no wrap-around.
#pragma once

#include <vector>

#include "base/vector.h"

namespace cabinfield {

/// Immutable; may be asked from several threads.
class MinimumPhaseGain {
 public:
  /// Points of the broken line. Throws std::invalid_argument where there is none, the two differ in length,
  /// the frequencies are not above 0 and rising, or a gain is not finite.
  MinimumPhaseGain(std::vector<double> frequency_hz, std::vector<double> gain_db);

  double gain_db(double frequency_hz) const;
  double phase_rad(double frequency_hz) const;
  /// Both as one factor; frequency above 0.
  Complex operator()(double frequency_hz) const;
  bool operator==(const MinimumPhaseGain&) const = default;

 private:
  std::vector<double> log_frequency_, gain_db_;
};

}  // namespace cabinfield
