#include <fmt/format.h>

#include "scene/build_steps.h"

namespace cabinfield::build {
namespace {

/// Relative accuracy of sampled areas.
constexpr double sampled_area_tolerance = 0.05;

}  // namespace

std::vector<CabinLeak> leaks(const std::vector<LeakSpec>& specs, const Cabin& cabin, Faults& faults) {
  std::vector<CabinLeak> result;
  for (const LeakSpec& spec : specs) {
    const std::string owner = fmt::format("leak '{}'", spec.name.empty() ? spec.surface : spec.name);
    // A mirrored leak inherits these keys; they were checked there.
    for (const auto& [key, words] :
         {std::pair{"surface", "name the surface that it is in"}, {"area", "give the open area"}})
      if (!spec.has(key) && !spec.has("mirror_of"))
        faults.add(spec.location, fmt::format("leak: key '{}' is missing: {}", key, words));
    if (spec.surface.empty() || !spec.area_m2 || !spec.sound()) continue;
    CabinLeak leak{spec.name.empty() ? spec.surface : spec.name, {*spec.area_m2, spec.depth_m}, -1};
    if (position_of(result, leak.name) >= 0) {
      faults.add(spec.has("name") ? spec.at("name") : spec.location,
                 fmt::format("duplicate leak name '{}': give one another name", leak.name));
      continue;
    }
    leak.surface = cabin.surface_index(spec.surface);
    if (leak.surface < 0) {
      faults.add(spec.at("surface"), owner + ": " + unknown_name("surface", spec.surface, cabin.surfaces()));
      continue;
    }
    const double free_m2 = cabin.surface_area_m2(leak.surface);
    if (leak.leak.area_m2 > free_m2 * (1 + sampled_area_tolerance)) {
      faults.add({spec.at("area"),
                  free_m2 > 0
                      ? fmt::format("{}: area {:.0f} cm2 is more than surface '{}' has free, {:.0f} cm2",
                                    owner, leak.leak.area_m2 * 1e4, spec.surface, free_m2 * 1e4)
                      : fmt::format("{}: surface '{}' is covered by blocks", owner, spec.surface),
                  FaultCode::leak_too_large,
                  {SubjectKind::leak, leak.name},
                  {{"area", leak.leak.area_m2, "m2"}, {"free area", free_m2, "m2"}}});
      continue;
    }
    result.push_back(std::move(leak));
  }
  return result;
}

}  // namespace cabinfield::build
