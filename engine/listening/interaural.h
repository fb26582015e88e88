// Interaural time and level differences, and the side angle that they suggest.
//
// Left and right are complex pressures over frequency for a flat spectrum (white in the time integrals, pink
// in the level), e^{+j omega t}. Right is positive throughout: for a source to the right, which leads and is
// louder at the right ear, time and level difference and side angle are above 0.
//
// Time difference: the lag of the maximum of the ears' cross-correlation within +-1 ms, from the cross
// spectrum,
//   C(tau) = Re int R L* e^{-j omega tau} df / sqrt(int |L|^2 df int |R|^2 df);
// the maximum is the coherence. It is the interaural cross-correlation of ISO 3382-1, Annex B, over a band
// and with its sign: only a peak above 0 indicates a side (the standard uses the magnitude).
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

/// Range in which the fine structure of a signal gives the side by time: below about 1.5 kHz (Rayleigh 1907;
/// Wightman & Kistler, J. Acoust. Soc. Am. 91 (1992) 1648).
inline constexpr FrequencyRange interaural_time_range{200, 1500};
/// Range in which a head shadows by several decibels (common practice, no source for the limits).
inline constexpr FrequencyRange interaural_level_range{1500, 8000};
/// Largest lag of the cross-correlation, s (ISO 3382-1, Annex B).
inline constexpr double longest_interaural_lag_s = 1e-3;

struct InterauralTime {
  double difference_s = 0;  ///< right ear leads where above 0
  double coherence = 0;     ///< 1: the ears differ by a delay and a gain alone; near 0: unrelated
};

/// Frequencies rise; the spans have one length. Of equal peaks the one with the smallest lag, then the right
/// one. Empty where an ear is silent, the frequencies cover less than half of the range, or neighbours in it
/// are more than 500 Hz apart (lags of -1 and +1 ms are then indistinguishable).
std::optional<InterauralTime> interaural_time(std::span<const double> frequency_hz,
                                              std::span<const Complex> left, std::span<const Complex> right,
                                              FrequencyRange range = interaural_time_range);

/// Level at the right ear over that at the left, dB: mean squares over the range, pink weighting. Empty where
/// an ear is silent or the frequencies cover less than half of the range (in octaves).
std::optional<double> interaural_level_db(std::span<const double> frequency_hz, std::span<const Complex> left,
                                          std::span<const Complex> right,
                                          FrequencyRange range = interaural_level_range);

struct SideAngle {
  double angle_deg = 0;  ///< -90 (left) to 90 (right); front, back, above and below are not distinguished
  bool beyond = false;   ///< the time difference exceeds that of any far source; the angle is limited to 90
};

/// Side angle of the far source with a given time difference: the inverse of a head's time difference over
/// angle, from a table by degrees, within a quarter of a degree.
///
/// Which head: from 200 Hz to 1.5 kHz a sphere's time difference lies between 3 a sin(theta)/c (Kuhn, J.
/// Acoust. Soc. Am. 62 (1977) 157) and Woodworth's a (theta + sin theta)/c, which holds far above the range.
/// On Woodworth's scale a source at 30 degrees from the front of a sphere would appear at 36, one at 60
/// at 80. Therefore a sphere has its own scale over the same frequencies, and so have two ears without a
/// head. A sound at one end of the range only is biased: 38 and 75 degrees for the same two sources with all
/// energy below 500 Hz, 28 and 59 with all above 1 kHz.
class SideAngleScale {
 public:
  /// Of a rigid sphere with ears at its sides, in the range at these frequencies. Empty where interaural_time
  /// is empty.
  static std::optional<SideAngleScale> of_sphere(std::span<const double> frequency_hz, double sound_speed_m_s,
                                                 double radius_m = head_radius_m,
                                                 FrequencyRange range = interaural_time_range);
  /// Of two points in free air, twice the radius a apart: 2 a sin(theta)/c.
  static SideAngleScale of_free_ears(double sound_speed_m_s, double radius_m = head_radius_m);
  /// Woodworth's: of wave fronts at high frequencies.
  static SideAngleScale of_wave_front(double sound_speed_m_s, double radius_m = head_radius_m);

  SideAngle at(double difference_s) const;

 private:
  explicit SideAngleScale(std::vector<double> difference_s);
  std::vector<double> difference_s_;  // at 0, 1, ... degrees, rising
};

}  // namespace cabinfield
