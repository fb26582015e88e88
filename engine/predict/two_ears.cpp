#include "predict/two_ears.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "listening/bands.h"

namespace cabinfield {
namespace {

/// A channel has a side where it plays in the range of interaural time differences: within this of its
/// loudest octave. Below that its filter causes the level.
constexpr double playing_db = 12;

struct Side {
  InterauralTime time;
  double level_db = 0, angle_deg = 0;
};

/// Judges the two ears of one seat.
class Judge {
 public:
  Judge(const Scene& scene, const Seat& seat, const std::vector<double>& frequency_hz)
      : frequency_hz_(frequency_hz), scale_(side_scale(seat, scene.air.sound_speed_m_s, frequency_hz)) {}

  /// Empty without a side.
  std::optional<Side> operator()(const Complex* left_pa, const Complex* right_pa) const {
    const std::span<const Complex> left(left_pa, frequency_hz_.size()), right(right_pa, frequency_hz_.size());
    const auto time = interaural_time(frequency_hz_, left, right);
    if (!time || !scale_) return std::nullopt;
    return Side{*time, interaural_level_db(frequency_hz_, left, right).value_or(0),
                scale_->at(time->difference_s).angle_deg};
  }

 private:
  const std::vector<double>& frequency_hz_;
  std::optional<SideAngleScale> scale_;
};

bool plays_in_time_range(const std::vector<double>& frequency_hz, const Complex* left_pa,
                         const Complex* right_pa) {
  const auto square = mean_square_of_ears(left_pa, right_pa, frequency_hz.size());
  double loudest = 0;
  for (double f = 31.5; f < 16000; f *= 2)
    loudest = std::max(
        loudest, band_mean_square(frequency_hz, square, f / std::sqrt(2), f * std::sqrt(2)).value_or(0));
  const auto there =
      band_mean_square(frequency_hz, square, interaural_time_range.low_hz, interaural_time_range.high_hz);
  return there && *there > loudest * std::pow(10, -playing_db / 10);
}

}  // namespace

std::optional<SideAngleScale> side_scale(const Seat& seat, double sound_speed_m_s,
                                         const std::vector<double>& frequency_hz) {
  const double radius_m = 0.5 * (seat.ear[1] - seat.ear[0]).norm();
  if (seat.sphere) return SideAngleScale::of_sphere(frequency_hz, sound_speed_m_s, radius_m);
  return SideAngleScale::of_free_ears(sound_speed_m_s, radius_m);
}

void judge_two_ears(const Scene& scene, Results& results) {
  if (results.signal_pa.empty()) return;
  const std::size_t presets = results.preset.size(), channels = results.channel.size(),
                    seats = results.seat.size();
  const std::array<std::size_t, 2> of_presets{presets, seats}, of_channels{channels, seats};
  results.interaural_known = Table<int, 2>(of_presets);
  results.interaural_time_s = results.interaural_coherence = results.interaural_level_db =
      results.side_angle_deg = Table<double, 2>(of_presets);
  results.channel_interaural_known = Table<int, 2>(of_channels);
  results.channel_interaural_time_s = results.channel_interaural_coherence =
      results.channel_interaural_level_db = results.channel_side_angle_deg = Table<double, 2>(of_channels);
  constexpr std::size_t mono = 2;
  for (std::size_t s = 0; s < seats; ++s) {
    const Judge judge(scene, scene.seats[s], results.frequency_hz);
    for (std::size_t p = 0; p < presets; ++p) {
      const auto side = judge(results.signal_pa.row(p, mono, s, 0), results.signal_pa.row(p, mono, s, 1));
      if (!side) continue;
      results.interaural_known(p, s) = 1;
      results.interaural_time_s(p, s) = side->time.difference_s;
      results.interaural_coherence(p, s) = side->time.coherence;
      results.interaural_level_db(p, s) = side->level_db;
      results.side_angle_deg(p, s) = side->angle_deg;
    }
    for (std::size_t c = 0; c < channels; ++c) {
      std::size_t p = 0;
      while (p < presets && results.mute(p, c)) ++p;
      if (p == presets) continue;
      const Complex* const left = results.channel_pa.row(p, c, s, 0);
      const Complex* const right = results.channel_pa.row(p, c, s, 1);
      const auto side = judge(left, right);
      if (!side || !plays_in_time_range(results.frequency_hz, left, right)) continue;
      results.channel_interaural_known(c, s) = 1;
      results.channel_interaural_time_s(c, s) = side->time.difference_s;
      results.channel_interaural_coherence(c, s) = side->time.coherence;
      results.channel_interaural_level_db(c, s) = side->level_db;
      results.channel_side_angle_deg(c, s) = side->angle_deg;
    }
  }
}

}  // namespace cabinfield
