#include "listening/arrival.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/constants.h"

namespace cabinfield {

DirectPaths direct_paths(const DiffractionPath* diffraction, const std::vector<Source>& sources,
                         const std::vector<Vector3>& points) {
  const std::array<std::size_t, 2> shape{points.size(), sources.size()};
  DirectPaths result{Table<double, 2>(shape), Table<int, 2>(shape, 1), Table<int, 2>(shape, 1)};
  for (std::size_t d = 0; d < sources.size(); ++d) {
    std::vector<Way> found(points.size(), Way{0, {}, true});
    if (diffraction != nullptr) found = diffraction->find(sources[d].position, points);
    for (std::size_t n = 0; n < points.size(); ++n) {
      result.free(n, d) = found[n].exists && found[n].bends.empty() ? 1 : 0;
      result.reached(n, d) = found[n].exists ? 1 : 0;
      const double straight = (points[n] - sources[d].position).norm();
      result.length_m(n, d) =
          (found[n].exists && !found[n].bends.empty() ? found[n].length_m : straight) + sources[d].setback_m;
    }
  }
  return result;
}

std::array<double, 3> angles_deg(const Source& source, const Vector3& head) {
  const Vector3 line = source.position - head;
  const double degrees = 180 / pi;
  return {std::atan2(line.y(), -line.x()) * degrees,
          std::atan2(line.z(), std::hypot(line.x(), line.y())) * degrees,
          std::acos(std::clamp(-line.normalized().dot(source.axis), -1.0, 1.0)) * degrees};
}

std::vector<double> delays_to_latest_s(std::span<const double> first_s, std::span<const int> use) {
  double latest = -std::numeric_limits<double>::infinity();
  for (std::size_t c = 0; c < first_s.size(); ++c)
    if (use[c] && !std::isnan(first_s[c])) latest = std::max(latest, first_s[c]);
  std::vector<double> delay(first_s.size(), 0.0);
  for (std::size_t c = 0; c < first_s.size(); ++c)
    if (use[c] && !std::isnan(first_s[c])) delay[c] = latest - first_s[c];
  return delay;
}

std::vector<double> aligning_delays_s(const std::vector<double>& arrival_s,
                                      const std::vector<std::vector<int>>& drivers,
                                      const std::vector<int>& use) {
  std::vector<double> first(drivers.size(), std::numeric_limits<double>::quiet_NaN());
  for (std::size_t c = 0; c < drivers.size(); ++c)
    for (int d : drivers[c]) first[c] = std::fmin(first[c], arrival_s[d]);
  return delays_to_latest_s(first, use);
}

void nearest_of_channels(const Table<double, 2>& of_drivers, const std::vector<std::vector<int>>& drivers,
                         std::span<double> of_channels) {
  const std::size_t seats = of_drivers.shape()[0] / 2;
  for (std::size_t c = 0; c < drivers.size(); ++c)
    for (std::size_t s = 0; s < seats; ++s) {
      double nearest = std::numeric_limits<double>::quiet_NaN();
      for (int d : drivers[c])
        nearest = std::fmin(nearest, 0.5 * (of_drivers(2 * s, d) + of_drivers(2 * s + 1, d)));
      of_channels[c * seats + s] = nearest;
    }
}

double woodworth_itd_s(double side_angle_rad, double radius_m, double sound_speed_m_s) {
  const double angle = std::min(std::abs(side_angle_rad), pi - std::abs(side_angle_rad));
  return std::copysign(radius_m * (angle + std::sin(angle)) / sound_speed_m_s, side_angle_rad);
}

}  // namespace cabinfield
