// From transfer functions to impulse responses in time.
//
// Time convention e^{+j omega t}. With N samples at rate fs, from the response at f_k = k fs/N, k = 1 .. N/2
// - 1:
//
//   h[n] = 1/N sum_k W(f_k) H(f_k) e^{+j 2 pi k n/N},  k = -N/2 + 1 .. N/2 - 1,  H(f_-k) = conj H(f_k),
//
// n = 0 .. N - 1: a real digital filter, in the units of H. A signal sampled at fs convolved with it is what
// H makes of that signal. Sample 0 is the time of emission; a path of delay tau peaks at n = tau fs. There is
// no interpolation between frequencies: a field that can be asked anywhere is asked at just these.
//
// The band limit W is 1 up to 5/12 fs (20 kHz at 48 kHz) and falls to 0 at fs/2 as the running integral of
// the I0-sinh window (Kaiser & Schafer 1980, IEEE Trans. ASSP 28(1), 105-107), beta = 6. It has no phase, so
// that arrivals stay where they are, at the price of a pulse that swells before it peaks:
//
//   w(t) = 11/12 sinc(11/12 fs t) beta/sinh(beta) sinh(s)/s,  s = sqrt(beta^2 - (pi fs t/12)^2),
//
// sinc x = sin(pi x)/(pi x): 60 dB under its peak from 22 samples on and 80 dB from 26 (0.54 ms at 48 kHz),
// ringing close to 11/24 fs. What of it would come before emission (an ear within 19 cm of a driver) is cut.
//
// Two more things come before the straight path and are no error: the near rim of a large piston heard off
// axis (a sin psi/c early), and the even swell of a loss without phase, as air and absorption tables have it.
//
// What has not died away after N samples wraps round to the start: choose N by impulse_grid, and hold the
// result against tail_level_db, which should be under wrap_around_limit_db; else double N.
#pragma once

#include <cstddef>
#include <memory>
#include <span>
#include <vector>

#include "base/vector.h"

namespace cabinfield {

/// Where a response is sampled in time, and so in frequency.
struct ImpulseGrid {
  double sample_rate_hz = 48000;
  std::size_t length = 0;  ///< N, even, at least 2

  /// k fs/N, k = 1 .. N/2 - 1: positive and rising. 0 Hz and fs/2 need no answer of a field.
  std::vector<double> frequency_hz() const;
};

/// Late sound that wraps round to the start should be this far under the peak, dB.
inline constexpr double wrap_around_limit_db = -80;

/// A grid on which what arrives up to `latest_arrival_s` and then rings on as e^{-t/decay} has fallen to
/// wrap_around_limit_db, with the swell of the band limit beyond: N = 2^a 3^b 5^c. Throws
/// std::invalid_argument where the rate is not above 0, a time is negative or not finite, or N would pass
/// 2^30. Of a resonance at f with a quality Q, decay = Q/(pi f).
ImpulseGrid impulse_grid(double sample_rate_hz, double latest_arrival_s, double decay_s);

/// W at a frequency; 0 from half the sample rate.
double band_limit(double frequency_hz, double sample_rate_hz);

/// How long before its peak a band-limited pulse is 80 dB under it, s.
double band_limit_lead_s(double sample_rate_hz);

/// Turns responses on one grid into impulse responses, each the same bits on any thread. Immutable; may be
/// called from several threads.
class ImpulseTransform {
 public:
  /// Throws std::invalid_argument where the length is odd, 0 or above 2^30, or the rate is not above 0.
  explicit ImpulseTransform(const ImpulseGrid& grid);
  ~ImpulseTransform();
  ImpulseTransform(const ImpulseTransform&) = delete;
  ImpulseTransform& operator=(const ImpulseTransform&) = delete;

  const ImpulseGrid& grid() const { return grid_; }

  /// h[n] of H at grid().frequency_hz(). `at_rest` is H at 0 Hz: 0 of a pressure per volume velocity that is
  /// a sum of images (j omega rho Q/(4 pi r)), not of a driver in a closed cabin. Throws
  /// std::invalid_argument where the count differs or a value is not finite.
  std::vector<double> operator()(std::span<const Complex> transfer, double at_rest = 0) const;

 private:
  struct Plan;
  ImpulseGrid grid_;
  std::vector<double> weight_;  ///< W/N at 0 Hz and the grid's frequencies
  std::unique_ptr<const Plan> plan_;
};

/// Greatest |h| before a time, re the greatest of all, dB: how causal a response is, asked at its first
/// arrival less band_limit_lead_s(). -infinity for silence or nothing before.
double level_before_db(std::span<const double> impulse, double sample_rate_hz, double time_s);

/// Greatest |h| in the last eighth before the cut end, re the greatest of all, dB: a bound on what wraps
/// round of a response that dies away. -infinity for silence.
double tail_level_db(std::span<const double> impulse);

}  // namespace cabinfield
