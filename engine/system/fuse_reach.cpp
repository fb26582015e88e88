#include "system/fuse_reach.h"

#include <algorithm>
#include <deque>
#include <limits>
#include <map>
#include <string>

namespace cabinfield {
namespace {

constexpr double unlimited_a = std::numeric_limits<double>::infinity();
/// Stands for a path without a fuse: far above any sum of fuses.
constexpr double unfused_a = 1e12;

/// Nodes and what can flow between them, A. Node 0 feeds all sources.
class Network {
 public:
  Network(const SupplyPlan& plan, std::size_t left_out) {
    for (const PlannedBattery& battery : plan.batteries) raise(0, of(battery.name), unfused_a);
    raise(0, of("alternator"), plan.alternator ? plan.alternator->rated_a : unfused_a);
    for (std::size_t c = 0; c < plan.cables.size(); ++c) {
      if (c == left_out) continue;
      const PlannedCable& cable = plan.cables[c];
      const double most_a = passes_fuse_a(passes_fuse_a(unfused_a, cable.fuse_start_a), cable.fuse_end_a);
      raise(of(cable.from), of(cable.to), most_a);
      raise(of(cable.to), of(cable.from), most_a);
    }
    for (const PlannedCharger& charger : plan.chargers)
      raise(of(charger.from), of(charger.to), charger.current_a);
  }

  /// Greatest flow from the sources; infinite where some path has no fuse. Shortest augmenting paths.
  double flow_to(const std::string& name) {
    const std::size_t end = of(name);
    auto left = capacity_a_;
    double flow_a = 0;
    for (;;) {
      std::vector<int> before(left.size(), -1);
      std::deque<std::size_t> open{0};
      before[0] = 0;
      while (!open.empty() && before[end] < 0) {
        const std::size_t node = open.front();
        open.pop_front();
        for (const auto& [to, most_a] : left[node])
          if (most_a > 1e-9 && before[to] < 0) before[to] = static_cast<int>(node), open.push_back(to);
      }
      if (before[end] < 0) return flow_a;
      double through_a = unlimited_a;
      for (std::size_t node = end; node != 0; node = static_cast<std::size_t>(before[node]))
        through_a = std::min(through_a, left[static_cast<std::size_t>(before[node])][node]);
      if (through_a >= unfused_a / 2) return unlimited_a;
      for (std::size_t node = end; node != 0; node = static_cast<std::size_t>(before[node])) {
        const auto from = static_cast<std::size_t>(before[node]);
        left[from][node] -= through_a;
        left[node][from] += through_a;
      }
      flow_a += through_a;
    }
  }

 private:
  std::size_t of(const std::string& name) {
    const auto [found, is_new] = number_.try_emplace(name, number_.size() + 1);
    if (is_new) capacity_a_.resize(number_.size() + 1);
    return found->second;
  }
  void raise(std::size_t from, std::size_t to, double by_a) { capacity_a_[from][to] += by_a; }

  std::map<std::string, std::size_t> number_;
  std::vector<std::map<std::size_t, double>> capacity_a_ = std::vector<std::map<std::size_t, double>>(1);
};

}  // namespace

std::vector<CableReach> fuse_reach(const SupplyPlan& plan) {
  std::vector<CableReach> cables;
  for (std::size_t c = 0; c < plan.cables.size(); ++c) {
    Network rest(plan, c);
    const double start_a = rest.flow_to(plan.cables[c].from);
    cables.push_back({start_a, rest.flow_to(plan.cables[c].to)});
  }
  return cables;
}

double passes_fuse_a(double reach_a, const std::optional<double>& fuse_a) {
  return std::min(reach_a, fuse_a.value_or(unlimited_a));
}

}  // namespace cabinfield
