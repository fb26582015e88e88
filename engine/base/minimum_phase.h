// A gain over frequency with minimum phase: causal, stable, and with the least delay of all systems of that
// gain.
//
// Bode, Network Analysis and Feedback Amplifier Design (1945), ch. XIV, time convention e^{+j omega t}:
//
//   phase(f) = 1/pi int dA/du ln coth |u/2| du,  u = ln(f'/f),  A the natural logarithm of the gain.
//
// The gain is piecewise linear in dB over the logarithm of frequency, constant below its first point and
// above its last. For such a gain the integral is exact: each piece contributes its slope times the
// difference of
//
//   int_0^u ln coth(t/2) dt = pi^2/4 - 2 chi_2(e^-u),  chi_2(x) = sum x^(2n+1)/(2n+1)^2  (Legendre's chi),
//
// at its ends. It needs no transform, so no grid, no top frequency, no wrap-around.
#pragma once

#include <vector>

#include "base/vector.h"

namespace cabinfield {

/// Immutable; safe to use from several threads.
class MinimumPhaseGain {
 public:
  /// Points of the piecewise linear gain. Throws std::invalid_argument if there is none, the two differ in
  /// length, the frequencies are not above 0 and ascending, or a gain is not finite.
  MinimumPhaseGain(std::vector<double> frequency_hz, std::vector<double> gain_db);

  double gain_db(double frequency_hz) const;
  double phase_rad(double frequency_hz) const;
  /// Gain and phase as a complex factor; frequency above 0.
  Complex operator()(double frequency_hz) const;
  bool operator==(const MinimumPhaseGain&) const = default;

 private:
  std::vector<double> log_frequency_, gain_db_;
};

}  // namespace cabinfield
