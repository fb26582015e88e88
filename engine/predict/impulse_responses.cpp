#include "predict/impulse_responses.h"

#include <fmt/format.h>

#include <algorithm>
#include <ctime>

#include "base/quantity.h"
#include "listening/impulse.h"
#include "predict/prediction.h"

namespace cabinfield {
namespace {

/// Sound after the latest reflection decays with drivers and filters: a resonance at 40 Hz with Q 3 (a vented
/// box) is the slowest usual one.
constexpr double slowest_decay_s = 0.024;

double latest_arrival_s(const Scene& scene, const Results& results) {
  double latest = 0, longest_delay = 0;
  for (double arrival : results.arrival_s.values()) latest = std::max(latest, arrival);
  for (const ReflectionRow& row : results.reflection) latest = std::max(latest, row.arrival_s);
  for (double delay : results.delay_s.values()) longest_delay = std::max(longest_delay, delay);
  // Each reflection crosses the cabin once.
  double diagonal_m = 0;
  if (scene.cabin) {
    Vector3 least = scene.cabin->faces().front().corner.front(), greatest = least;
    for (const Face& face : scene.cabin->faces())
      for (const Vector3& corner : face.corner) {
        least = least.cwiseMin(corner);
        greatest = greatest.cwiseMax(corner);
      }
    diagonal_m = (greatest - least).norm();
  }
  const int order = std::min(scene.computation.image_order, 12);
  return latest + longest_delay + order * diagonal_m / scene.air.sound_speed_m_s;
}

/// Impulse responses of rows of complex responses over frequency; `tail_db` is raised to the highest tail
/// level.
template <std::size_t Rank>
std::vector<double> in_time(const ImpulseTransform& transform, const Table<Complex, Rank>& response,
                            std::size_t rows, double& tail_db) {
  const std::size_t count = response.shape().back();
  std::vector<double> all;
  all.reserve(rows * transform.grid().length);
  for (std::size_t row = 0; row < rows; ++row) {
    const auto impulse = transform({response.values().data() + row * count, count});
    tail_db = std::max(tail_db, tail_level_db(impulse));
    all.insert(all.end(), impulse.begin(), impulse.end());
  }
  return all;
}

}  // namespace

Table<double, 4> add_impulse_responses(const Scene& scene, double sample_rate_hz, Results& results,
                                       const Progress& progress) {
  if (results.transfer_pa_s_m3.empty()) return {};
  Scene even = scene;
  if (even.presets.size() > 1) even.presets.resize(1);
  double decay_s = slowest_decay_s;
  // A slower decay would wrap round to the start: repeat once or twice at twice the length.
  for (int attempt = 0;; ++attempt, decay_s *= 2) {
    const ImpulseGrid grid = impulse_grid(sample_rate_hz, latest_arrival_s(scene, results), decay_s);
    even.computation.frequency_hz = grid.frequency_hz();
    const Results answer = predict(even, {}, progress);
    const ImpulseTransform transform(grid);
    double tail_db = -300;
    const auto& shape = answer.transfer_pa_s_m3.shape();
    Table<double, 4> impulse({shape[0], shape[1], shape[2], grid.length}), heard;
    impulse.values() = in_time(transform, answer.transfer_pa_s_m3, shape[0] * shape[1] * shape[2], tail_db);
    if (!answer.channel_pa.empty()) {
      const auto& channels = answer.channel_pa.shape();  // [1,C,S,E,F]
      heard = Table<double, 4>({channels[1], channels[2], channels[3], grid.length});
      heard.values() =
          in_time(transform, answer.channel_pa, channels[1] * channels[2] * channels[3], tail_db);
    }
    if (tail_db > wrap_around_limit_db && attempt < 2) continue;
    if (tail_db > wrap_around_limit_db)
      results.warnings.push_back(
          fmt::format("impulse responses: the slowest has decayed by only {:.0f} dB at its end", -tail_db));
    for (std::size_t n = 0; n < grid.length; ++n)
      results.impulse_time_s.push_back(static_cast<double>(n) / sample_rate_hz);
    results.impulse_pa_m3 = std::move(impulse);
    return heard;
  }
}

}  // namespace cabinfield
