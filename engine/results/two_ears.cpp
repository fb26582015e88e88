#include "results/two_ears.h"

#include "listening/interaural.h"

namespace cabinfield {

void judge_two_ears(const Scene& scene, Results& results) {
  if (results.signal_pa.empty()) return;
  const std::size_t presets = results.preset.size(), seats = results.seat.size(),
                    count = results.frequency_hz.size();
  const std::array<std::size_t, 2> shape{presets, seats};
  results.interaural_known = Table<int, 2>(shape);
  results.interaural_time_s = results.interaural_coherence = results.interaural_level_db =
      results.side_angle_deg = Table<double, 2>(shape);
  const auto on_sphere = SideAngleScale::of_sphere(results.frequency_hz, scene.air.sound_speed_m_s);
  constexpr std::size_t mono = 2;
  for (std::size_t s = 0; s < seats; ++s) {
    const double half_spacing_m = 0.5 * (scene.seats[s].ear[1] - scene.seats[s].ear[0]).norm();
    const SideAngleScale free_ears = SideAngleScale::of_free_ears(scene.air.sound_speed_m_s, half_spacing_m);
    for (std::size_t p = 0; p < presets; ++p) {
      const std::span<const Complex> left(results.signal_pa.row(p, mono, s, 0), count),
          right(results.signal_pa.row(p, mono, s, 1), count);
      const auto time = interaural_time(results.frequency_hz, left, right);
      if (!time || (scene.seats[s].sphere && !on_sphere)) continue;
      results.interaural_known(p, s) = 1;
      results.interaural_time_s(p, s) = time->difference_s;
      results.interaural_coherence(p, s) = time->coherence;
      results.interaural_level_db(p, s) = interaural_level_db(results.frequency_hz, left, right).value_or(0);
      results.side_angle_deg(p, s) =
          (scene.seats[s].sphere ? *on_sphere : free_ears).at(time->difference_s).angle_deg;
    }
  }
}

}  // namespace cabinfield
