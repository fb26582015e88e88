// The load space: what fits, overlaps or blocks space to keep free, and the load on the axles.
#include <fmt/format.h>

#include <algorithm>

#include "plan/judge_system.h"
#include "system/load_space.h"

namespace cabinfield {
namespace {

/// Two hand measurements agree no better (common practice, no source).
constexpr double touching_m = 0.001;

std::string margin_words(const char* free, const char* over, double margin_m) {
  return margin_m < 0 ? fmt::format("{} by {:.0f} mm", over, -margin_m * 1000)
                      : fmt::format("{}, {:.0f} mm to spare", free, margin_m * 1000);
}

}  // namespace

void judge_load_space(const Scene& scene, SystemReport& report, std::vector<Check>& checks) {
  const LoadSpace& space = scene.system.space;
  for (std::size_t i = 0; i < space.bodies.size(); ++i) {
    const Body& body = space.bodies[i];
    if (!space.rooms.empty()) {
      double best = -1e9;
      std::string where;
      for (const Body& room : space.rooms)
        if (const double margin = inside_m(body, room); margin > best) best = margin, where = room.name;
      checks.push_back(length_check(
          Rule::room, body.name, best + touching_m, 0,
          fmt::format("{}: {}", body.name,
                      margin_words(("fits in " + where).c_str(), ("sticks out of " + where).c_str(), best))));
    }
    for (const Body& kept : space.kept_free) {
      const double gap = gap_m(body, kept);
      if (gap > -touching_m) continue;
      checks.push_back(length_check(Rule::keep_free, body.name, gap, 0,
                                    fmt::format("{}: reaches {:.0f} mm into {}, which must stay free",
                                                body.name, -gap * 1000, kept.name)));
    }
    for (std::size_t j = i + 1; j < space.bodies.size(); ++j) {
      const Body& other = space.bodies[j];
      const double gap = gap_m(body, other);
      if (gap <= -touching_m)
        checks.push_back(length_check(
            Rule::overlap, body.name, gap, 0,
            fmt::format("{} and {} overlap: move one by {:.0f} mm", body.name, other.name, -gap * 1000)));
    }
    if (body.air_m <= 0) continue;
    // It stands on something; air is needed at its sides and above.
    double least = 1e9;
    std::string nearest;
    for (const Body& other : space.bodies) {
      if (&other == &body) continue;
      const double gap = gap_m(body, other);
      if (other.at.z() + other.size_m.z() <= body.at.z() + touching_m || gap <= -touching_m) continue;
      if (gap < least) least = gap, nearest = other.name;
    }
    if (least < body.air_m)
      checks.push_back(length_check(Rule::air, body.name, least - body.air_m, 0,
                                    fmt::format("{}: {:.0f} mm of air to {}, {:.0f} mm needed", body.name,
                                                std::max(0.0, least) * 1000, nearest, body.air_m * 1000)));
  }
  const AxleLoad load = axle_load(space.bodies, space.axle_x_m.value_or(std::array<double, 2>{0, 1}));
  report.total_kg = load.total_kg;
  if (space.axle_x_m) report.front_kg = load.front_kg, report.rear_kg = load.rear_kg;
}

}  // namespace cabinfield
