#include "system/supply_case.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace cabinfield {

SupplyNodes::SupplyNodes(const SupplyPlan& plan, const std::vector<std::string>& amplifiers) {
  for (const PlannedBattery& battery : plan.batteries) names_.push_back(battery.name);
  const std::size_t batteries = names_.size();
  names_.insert(names_.end(), plan.junctions.begin(), plan.junctions.end());
  auto leads_to = [&](const std::string& name) {
    return std::any_of(plan.cables.begin(), plan.cables.end(),
                       [&](const PlannedCable& cable) { return cable.from == name || cable.to == name; });
  };
  for (const char* name : {"alternator", "processor"})
    if (leads_to(name)) names_.emplace_back(name);
  names_.insert(names_.end(), amplifiers.begin(), amplifiers.end());
  fed_.assign(names_.size(), false);
  std::fill_n(fed_.begin(), batteries, true);
  if (const int alternator = of("alternator"); plan.alternator && alternator >= 0)
    fed_[static_cast<std::size_t>(alternator)] = true;
  for (std::size_t round = 0; round < names_.size(); ++round) {
    for (const PlannedCable& cable : plan.cables) {
      const auto from = static_cast<std::size_t>(of(cable.from)), to = static_cast<std::size_t>(of(cable.to));
      const bool either = fed_[from] || fed_[to];
      fed_[from] = fed_[to] = either;
    }
    for (const PlannedCharger& charger : plan.chargers)
      if (fed_[static_cast<std::size_t>(of(charger.from))])
        fed_[static_cast<std::size_t>(of(charger.to))] = true;
  }
}

int SupplyNodes::of(const std::string& name) const {
  const auto found = std::find(names_.begin(), names_.end(), name);
  return found == names_.end() ? -1 : static_cast<int>(found - names_.begin());
}

SupplyNetwork supply_network(const SupplyPlan& plan, const std::vector<std::string>& amplifiers,
                             const SupplyCase& of_case) {
  const SupplyNodes nodes(plan, amplifiers);
  SupplyNetwork network;
  network.nodes = nodes.count();
  for (std::size_t c = 0; c < plan.cables.size(); ++c) {
    const PlannedCable& cable = plan.cables[c];
    const double copper_c = of_case.copper_c.empty() ? plan.ambient_c : of_case.copper_c[c];
    network.runs.push_back(
        {nodes.of(cable.from), nodes.of(cable.to), run_resistance_ohm(cable.run, copper_c)});
  }
  for (const PlannedBattery& battery : plan.batteries)
    network.cells.push_back({nodes.of(battery.name), battery.rest_v, battery.resistance_ohm,
                             std::max(battery.resistance_ohm, battery.charge_resistance_ohm),
                             of_case.peak ? battery.peak_a : battery.continuous_a});
  // Where no cable is drawn the alternator is at the first battery, as the car's own cable has it.
  const int alternator_node = std::max(nodes.of("alternator"), 0);
  if (plan.alternator && of_case.alternator) {
    SupplyNetwork::Alternator alternator;
    alternator.node = alternator_node;
    alternator.regulated_v = plan.alternator->voltage_v;
    alternator.greatest_a = plan.alternator->rated_a;
    if (nodes.count() > 0) network.alternators.push_back(alternator);
    for (const PlannedCharger& charger : plan.chargers) {
      SupplyNetwork::Charger between;
      between.from = nodes.of(charger.from);
      between.to = nodes.of(charger.to);
      between.regulated_v = charger.voltage_v;
      between.greatest_a = charger.current_a;
      between.efficiency = charger.efficiency;
      network.chargers.push_back(between);
    }
  }
  for (std::size_t a = 0; a < amplifiers.size(); ++a) {
    const int node = nodes.of(amplifiers[a]);
    SupplyNetwork::Load load{node};
    if (nodes.fed(node) && a < of_case.draw_at.size())
      load.power_at = of_case.draw_at[a];
    else if (nodes.fed(node))
      load.power_w = of_case.draw_w[a];
    network.loads.push_back(std::move(load));
  }
  if (plan.alternator && of_case.engine && plan.alternator->car_a > 0 && nodes.count() > 0)
    network.loads.push_back({alternator_node, plan.alternator->car_a * plan.alternator->voltage_v});
  return network;
}

double engine_off_hours(const SupplyPlan& plan, const std::vector<double>& cell_a) {
  double hours = std::numeric_limits<double>::infinity();
  for (std::size_t b = 0; b < plan.batteries.size(); ++b)
    if (cell_a[b] > 0) hours = std::min(hours, playing_hours(plan.batteries[b], cell_a[b]));
  return hours;
}

}  // namespace cabinfield
