#include "system/fuse_reach.h"

#include <algorithm>
#include <limits>
#include <map>
#include <string>

namespace cabinfield {
namespace {

constexpr double unlimited_a = std::numeric_limits<double>::infinity();

/// Of each node that anything feeds, without one cable.
std::map<std::string, double> reach_without(const SupplyPlan& plan, std::size_t left_out) {
  std::map<std::string, double> reach{{"alternator", unlimited_a}};
  for (const PlannedBattery& battery : plan.batteries) reach[battery.name] = unlimited_a;
  bool rising = true;
  auto lead = [&](const std::string& from, const std::string& to, double most_a) {
    const auto fed = reach.find(from);
    if (fed == reach.end()) return;
    const double through_a = std::min(fed->second, most_a);
    double& there_a = reach[to];
    if (through_a <= there_a) return;
    there_a = through_a;
    rising = true;
  };
  while (rising) {
    rising = false;
    for (std::size_t c = 0; c < plan.cables.size(); ++c) {
      if (c == left_out) continue;
      const PlannedCable& cable = plan.cables[c];
      const double most_a = passes_fuse_a(passes_fuse_a(unlimited_a, cable.fuse_start_a), cable.fuse_end_a);
      lead(cable.from, cable.to, most_a);
      lead(cable.to, cable.from, most_a);
    }
    for (const PlannedCharger& charger : plan.chargers) lead(charger.from, charger.to, charger.current_a);
  }
  return reach;
}

}  // namespace

std::vector<CableReach> fuse_reach(const SupplyPlan& plan) {
  std::vector<CableReach> cables;
  for (std::size_t c = 0; c < plan.cables.size(); ++c) {
    const auto reach = reach_without(plan, c);
    auto at = [&](const std::string& node) {
      const auto fed = reach.find(node);
      return fed == reach.end() ? 0.0 : fed->second;
    };
    cables.push_back({at(plan.cables[c].from), at(plan.cables[c].to)});
  }
  return cables;
}

double passes_fuse_a(double reach_a, const std::optional<double>& fuse_a) {
  return std::min(reach_a, fuse_a.value_or(unlimited_a));
}

}  // namespace cabinfield
