#include "predict/explained.h"

#include <algorithm>
#include <cmath>

#include "field/images/explanation.h"
#include "listening/bands.h"

namespace cabinfield {
namespace {

constexpr std::size_t max_reflections = 8;  // of each driver at each ear
constexpr std::size_t max_notches = 3;      // of each channel at each ear
constexpr double notch_from_hz = 200, notch_to_hz = 8000, least_notch_db = -5;
/// A channel plays within this of its loudest octave; below that its filter causes the level.
constexpr double playing_db = 12;

std::string surfaces_of(const std::vector<int>& faces, const Cabin& cabin) {
  std::string words;
  for (int face : faces)
    words += (words.empty() ? "" : " > ") + cabin.surfaces()[cabin.faces()[face].surface];
  return words;
}

}  // namespace

std::vector<Dip> find_dips(const std::vector<double>& frequency_hz, const std::vector<double>& square,
                           double from_hz, double to_hz, double least_db) {
  std::vector<Dip> dips;
  for (std::size_t i = 1; i + 1 < square.size(); ++i) {
    if (frequency_hz[i] < from_hz || frequency_hz[i] > to_hz || square[i] > square[i - 1] ||
        square[i] > square[i + 1])
      continue;
    const auto around = band_mean_square(frequency_hz, square, frequency_hz[i] / std::sqrt(2),
                                         frequency_hz[i] * std::sqrt(2));
    if (!around || *around <= 0) continue;
    const double depth = 10 * std::log10(std::max(square[i] / *around, 1e-12));
    if (depth <= least_db) dips.push_back({i, depth});
  }
  std::stable_sort(dips.begin(), dips.end(),
                   [](const Dip& a, const Dip& b) { return a.depth_db < b.depth_db; });
  std::vector<Dip> apart;
  for (const Dip& dip : dips)
    if (std::none_of(apart.begin(), apart.end(), [&](const Dip& other) {
          return std::abs(std::log2(frequency_hz[dip.index] / frequency_hz[other.index])) < 1.0 / 6;
        }))
      apart.push_back(dip);
  return apart;
}

void explain(const Scene& scene, Results& results) {
  // Step 1: all paths by the image method, to order 3 at most.
  if (!scene.cabin || scene.seats.empty() || scene.drivers.empty()) return;
  std::vector<Source> sources;
  for (const MountedDriver& driver : scene.drivers) sources.push_back(driver.source);
  std::vector<Vector3> ears;
  for (const Seat& seat : scene.seats) ears.insert(ears.end(), seat.ear.begin(), seat.ear.end());
  const int order = std::min(3, scene.computation.image_order);
  const Explanation explanation(*scene.cabin, scene.materials, scene.air, scene.ways.get(), sources, ears,
                                order);

  // Step 2: the strongest reflections of each driver at each ear.
  for (std::size_t n = 0; n < ears.size(); ++n)
    for (std::size_t d = 0; d < sources.size(); ++d)
      for (const Reflection& found : explanation.strongest(d, n, max_reflections))
        results.reflection.push_back(
            {static_cast<int>(n / 2), static_cast<int>(n % 2), static_cast<int>(d),
             static_cast<int>(found.faces.size()), surfaces_of(found.faces, *scene.cabin), found.length_m,
             found.length_m / scene.air.sound_speed_m_s, found.level_db, found.first_notch_hz});

  // Step 3: the deepest notches of each playing channel at each ear, in the octaves in which it plays, and
  // the reflection that causes each.
  if (results.channel_pa.empty()) return;
  const std::size_t frequencies = results.frequency_hz.size();
  for (std::size_t c = 0; c < scene.channels.size(); ++c) {
    if (results.mute(0, c)) continue;
    for (std::size_t n = 0; n < ears.size(); ++n) {
      const Complex* pressure = results.channel_pa.row(0, c, n / 2, n % 2);
      std::vector<double> square;
      for (std::size_t f = 0; f < frequencies; ++f) square.push_back(std::norm(pressure[f]));
      double loudest = 0;
      for (double f = 31.5; f < 16000; f *= 2)
        loudest = std::max(
            loudest,
            band_mean_square(results.frequency_hz, square, f / std::sqrt(2), f * std::sqrt(2)).value_or(0));
      std::size_t count = 0;
      for (const Dip& dip :
           find_dips(results.frequency_hz, square, notch_from_hz, notch_to_hz, least_notch_db)) {
        const double hz = results.frequency_hz[dip.index];
        const double around =
            band_mean_square(results.frequency_hz, square, hz / std::sqrt(2), hz * std::sqrt(2)).value_or(0);
        if (count == max_notches) break;
        if (around < loudest * std::pow(10, -playing_db / 10)) continue;
        std::vector<Complex> velocity;
        for (int d : scene.channels[c].drivers)
          velocity.push_back(results.volume_velocity_m3_s(d, dip.index));
        const auto cause = explanation.cause_of_notch(scene.channels[c].drivers, velocity, n, hz);
        NotchRow row{static_cast<int>(c),
                     static_cast<int>(n / 2),
                     static_cast<int>(n % 2),
                     static_cast<int>(cause.source),
                     hz,
                     dip.depth_db,
                     "",
                     0};
        if (cause.path != nullptr) {
          row.surfaces = surfaces_of(cause.path->faces, *scene.cabin);
          row.extra_m = cause.extra_m;
        }
        results.notch.push_back(std::move(row));
        ++count;
      }
    }
  }
  std::stable_sort(results.notch.begin(), results.notch.end(),
                   [](const NotchRow& a, const NotchRow& b) { return a.depth_db < b.depth_db; });
}

}  // namespace cabinfield
