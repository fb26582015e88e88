// What two ears make of one signal: how much earlier, how much louder, and from which side.
//
// Left and right are complex pressures over frequency for a signal alike at all frequencies (white in the
// time integrals, pink in the level), e^{+j omega t}. To the right is positive throughout: a source to the
// right leads and is louder at the right ear, its time and level differences and its side angle are above 0.
//
// Time difference: the lag of the highest value of the cross-correlation of the ears within +-1 ms, found
// from the cross spectrum,
//   C(tau) = Re int R L* e^{-j omega tau} df / sqrt(int |L|^2 df int |R|^2 df);
// that value is the coherence. It is the interaural cross-correlation of ISO 3382-1, Annex B, over a band and
// by sign: only a peak above 0 tells a side (the standard takes the magnitude).
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "base/constants.h"
#include "base/vector.h"

namespace cabinfield {

struct FrequencyRange {
  double low_hz = 0, high_hz = 0;
};

/// Where the fine structure of a signal tells the side by time: below about 1.5 kHz (Rayleigh 1907; Wightman
/// & Kistler, J. Acoust. Soc. Am. 91 (1992) 1648).
inline constexpr FrequencyRange interaural_time_range{200, 1500};
/// Where a head shades by several decibels (common practice, no source for the limits).
inline constexpr FrequencyRange interaural_level_range{1500, 8000};
/// The longest lag looked at, s (ISO 3382-1, Annex B).
inline constexpr double longest_interaural_lag_s = 1e-3;

struct InterauralTime {
  double difference_s = 0;  ///< right ear leads where above 0
  double coherence = 0;     ///< 1: the ears differ by a delay and a gain alone; near 0: unlike ears
};

/// Frequencies rise; the spans are of one length. Of equal peaks the one nearest to no lag, then the right.
/// Empty where an ear is silent, where the frequencies reach over less than half of the range, or where two
/// neighbours in it are more than 500 Hz apart (lags of -1 and +1 ms are then the same).
std::optional<InterauralTime> interaural_time(std::span<const double> frequency_hz,
                                              std::span<const Complex> left, std::span<const Complex> right,
                                              FrequencyRange range = interaural_time_range);

/// Level at the right ear over that at the left, dB: mean squares over the range, every octave alike. Empty
/// where an ear is silent or the frequencies reach over less than half of the range (in octaves).
std::optional<double> interaural_level_db(std::span<const double> frequency_hz, std::span<const Complex> left,
                                          std::span<const Complex> right,
                                          FrequencyRange range = interaural_level_range);

struct SideAngle {
  double angle_deg = 0;  ///< -90 (left) to 90 (right); front, back, above and below are not told apart
  bool beyond = false;   ///< no far source gives so long a time difference: the angle is held at 90
};

/// Side angle of the far source that would give a time difference: the inverse of one head's time difference
/// over angle, from a table by the degree, within a quarter of a degree.
///
/// Which head: from 200 Hz to 1.5 kHz a sphere's time difference lies between 3 a sin(theta)/c (Kuhn, J.
/// Acoust. Soc. Am. 62 (1977) 157) and Woodworth's a (theta + sin theta)/c, which holds far above the range.
/// On Woodworth's scale a source at 30 degrees from the front of a sphere would seem to be at 36, one at 60
/// at 80. So the time of a sphere is read on the sphere's own scale over the same frequencies, that of two
/// ears without a head on theirs. A sound that is strong at one end of the range only reads askew: 38 and 75
/// degrees for the same two sources where all is below 500 Hz, 28 and 59 where all is above 1 kHz.
class SideAngleScale {
 public:
  /// Of a rigid sphere with ears at its sides, in the range, at these frequencies. Empty where
  /// interaural_time is.
  static std::optional<SideAngleScale> of_sphere(std::span<const double> frequency_hz, double sound_speed_m_s,
                                                 double radius_m = head_radius_m,
                                                 FrequencyRange range = interaural_time_range);
  /// Of two points in free air, twice the radius a apart: 2 a sin(theta)/c.
  static SideAngleScale of_free_ears(double sound_speed_m_s, double radius_m = head_radius_m);
  /// Woodworth's: of wave fronts, or high frequencies.
  static SideAngleScale of_wave_front(double sound_speed_m_s, double radius_m = head_radius_m);

  SideAngle at(double difference_s) const;

 private:
  explicit SideAngleScale(std::vector<double> difference_s);
  std::vector<double> difference_s_;  // at 0, 1, ... degrees, rising
};

}  // namespace cabinfield
