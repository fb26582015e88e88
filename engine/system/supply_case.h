// A supply plan under one load: which network that is, and what flows in it.
#pragma once

#include <string>
#include <vector>

#include "system/plan.h"
#include "system/supply_network.h"

namespace cabinfield {

/// What runs the car: the alternator at its voltage, or nothing but the batteries.
struct SupplyCase {
  std::vector<double> draw_w{};  ///< of each amplifier
  bool alternator = true;
  bool peak = false;               ///< for seconds (peak limits of protection circuits) or for good
  std::vector<double> copper_c{};  ///< of each cable; ambient where empty
  /// Of each amplifier over its voltage, in place of draw_w where not empty.
  std::vector<std::vector<PowerAtVoltage>> draw_at{};
  bool engine = true;  ///< runs, or is just held off: the car itself takes its current
};

/// Names of the nodes of a plan: batteries, junctions, the alternator where cables lead there, amplifiers.
class SupplyNodes {
 public:
  SupplyNodes(const SupplyPlan& plan, const std::vector<std::string>& amplifiers);
  /// -1 where there is none.
  int of(const std::string& name) const;
  int count() const { return static_cast<int>(names_.size()); }
  /// True where cables, and chargers the way they work, lead to the node from any battery or the alternator.
  bool fed(int node) const { return fed_[static_cast<std::size_t>(node)]; }

 private:
  std::vector<std::string> names_;
  std::vector<bool> fed_;
};

/// The network: cables in the order of the plan, cells in that of its batteries, loads in that of the
/// amplifiers, after them the car's own where there is an alternator. Chargers work while the alternator
/// does. An amplifier without a cable draws nothing.
SupplyNetwork supply_network(const SupplyPlan& plan, const std::vector<std::string>& amplifiers,
                             const SupplyCase& of_case);

/// Hours for which the batteries together feed a steady load, engine off, each to its own depth of discharge:
/// the first that is there ends it. `cell_a` as the network shares the load.
double engine_off_hours(const SupplyPlan& plan, const std::vector<double>& cell_a);

}  // namespace cabinfield
