// Impulse responses from transfer functions.
//
// Time convention e^{+j omega t}. With N samples at rate fs, from the response at f_k = k fs/N, k = 1 .. N/2
// - 1:
//
//   h[n] = 1/N sum_k W(f_k) H(f_k) e^{+j 2 pi k n/N},  k = -N/2 + 1 .. N/2 - 1,  H(f_-k) = conj H(f_k),
//
// n = 0 .. N - 1: a real digital filter, in the units of H. Convolution with it applies H to a signal sampled
// at fs. Sample 0 is the time of emission; a path of delay tau peaks at n = tau fs. Frequencies are not
// interpolated: the field is solved at exactly these.
//
// The band limit W is 1 up to 5/12 fs (20 kHz at 48 kHz) and falls to 0 at fs/2 as the running integral of
// the I0-sinh window (Kaiser & Schafer 1980, IEEE Trans. ASSP 28(1), 105-107), beta = 6. It is zero-phase, so
// that arrivals keep their time, at the price of a pulse that rises before its peak:
//
//   w(t) = 11/12 sinc(11/12 fs t) beta/sinh(beta) sinh(s)/s,  s = sqrt(beta^2 - (pi fs t/12)^2),
//
// sinc x = sin(pi x)/(pi x): 60 dB under its peak from 22 samples on and 80 dB from 26 (0.54 ms at 48 kHz),
// ringing close to 11/24 fs. The part before emission (for an ear within 19 cm of a driver) is cut.
//
// Two further contributions legitimately precede the straight path: the near rim of a large piston off axis
// (a sin psi/c early), and the symmetric pulse of zero-phase losses of air and absorption tables.
//
// Sound that has not decayed after N samples wraps round to the start: choose N by impulse_grid, and check
// that tail_level_db is below wrap_around_limit_db; else double N.
#pragma once

#include <cstddef>
#include <memory>
#include <span>
#include <vector>

#include "base/vector.h"

namespace cabinfield {

/// Sampling of a response in time, and thereby in frequency.
struct ImpulseGrid {
  double sample_rate_hz = 48000;
  std::size_t length = 0;  ///< N, even, at least 2

  /// k fs/N, k = 1 .. N/2 - 1: positive and rising. 0 Hz and fs/2 need no field solution.
  std::vector<double> frequency_hz() const;
};

/// Largest level of sound that wraps round to the start, relative to the peak, dB.
inline constexpr double wrap_around_limit_db = -80;

/// A grid long enough that sound which arrives until `latest_arrival_s` and then decays as e^{-t/decay} falls
/// to wrap_around_limit_db, with room for the pulse of the band limit: N = 2^a 3^b 5^c. A resonance at f of
/// quality Q has decay = Q/(pi f). Throws std::invalid_argument for a rate not above 0, a negative or
/// infinite time, or N above 2^30.
ImpulseGrid impulse_grid(double sample_rate_hz, double latest_arrival_s, double decay_s);

/// W at a frequency; 0 from half the sample rate on.
double band_limit(double frequency_hz, double sample_rate_hz);

/// Time before the peak of a band-limited pulse at which it is 80 dB below the peak, s.
double band_limit_lead_s(double sample_rate_hz);

/// Transforms responses on one grid to impulse responses, the same bits on any thread. Immutable; may be
/// called from several threads.
class ImpulseTransform {
 public:
  /// Throws std::invalid_argument where the length is odd, 0 or above 2^30, or the rate is not above 0.
  explicit ImpulseTransform(const ImpulseGrid& grid);
  ~ImpulseTransform();
  ImpulseTransform(const ImpulseTransform&) = delete;
  ImpulseTransform& operator=(const ImpulseTransform&) = delete;

  const ImpulseGrid& grid() const { return grid_; }

  /// h[n] of H at grid().frequency_hz(). `at_rest` is H at 0 Hz: 0 for a sum of images (j omega rho Q/(4 pi
  /// r)), but not for a driver in a closed cabin. Throws std::invalid_argument for another number of values
  /// or an infinite one.
  std::vector<double> operator()(std::span<const Complex> transfer, double at_rest = 0) const;

 private:
  struct Plan;
  ImpulseGrid grid_;
  std::vector<double> weight_;  ///< W/N at 0 Hz and the grid's frequencies
  std::unique_ptr<const Plan> plan_;
};

/// Largest |h| before a time over the largest of all, dB: measures causality, with the first arrival less
/// band_limit_lead_s() as the time. -infinity for silence.
double level_before_db(std::span<const double> impulse, double sample_rate_hz, double time_s);

/// Largest |h| in the last eighth before the cut end over the largest of all, dB: a bound on the wrap-around
/// of a decaying response. -infinity for silence.
double tail_level_db(std::span<const double> impulse);

}  // namespace cabinfield
