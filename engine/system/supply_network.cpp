#include "system/supply_network.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace cabinfield {
namespace {

/// What a branch puts into its node at a voltage there, and how that changes with it.
struct Injection {
  double current_a = 0, slope = 0;
};

Injection regulated(double set_v, double resistance_ohm, double greatest_a, double node_v) {
  const double wanted = (set_v - node_v) / resistance_ohm;
  if (wanted <= 0) return {};
  if (wanted >= greatest_a) return {greatest_a, 0};
  return {wanted, -1 / resistance_ohm};
}

double resistance_of(const SupplyNetwork::Cell& cell, double node_v) {
  return node_v > cell.emf_v && cell.charge_resistance_ohm > 0 ? cell.charge_resistance_ohm
                                                               : cell.resistance_ohm;
}

struct ChargerOutput {
  double current_a = 0, by_in_v = 0, by_out_v = 0;
};

/// It comes up over a half volt of its input: what switches would have no steady state.
ChargerOutput put_out(const SupplyNetwork::Charger& charger, double in_v, double out_v) {
  constexpr double coming_up_v = 0.5;
  const double up = (in_v - charger.least_input_v) / coming_up_v;
  if (up <= 0) return {};
  const double most_a = std::min(1.0, up) * charger.greatest_a;
  const Injection out = regulated(charger.regulated_v, charger.resistance_ohm, most_a, out_v);
  const bool held = out.slope == 0 && out.current_a > 0;
  return {out.current_a, held && up < 1 ? charger.greatest_a / coming_up_v : 0, out.slope};
}

Injection drawn(const SupplyNetwork::Load& load, double node_v) {
  if (node_v >= load.least_v) return {load.power_w / node_v, -load.power_w / (node_v * node_v)};
  const double conductance = load.power_w / (load.least_v * load.least_v);
  return {conductance * node_v, conductance};
}

/// Current that leaves each node less what enters it, and its derivatives.
class Balance {
 public:
  Balance(const SupplyNetwork& network, const std::vector<bool>& open) : network_(network), open_(open) {}

  bool is_open(std::size_t cell) const { return cell < open_.size() && open_[cell]; }

  void at(const Eigen::VectorXd& voltage, Eigen::VectorXd& excess, Eigen::MatrixXd& slopes) const {
    excess.setZero(network_.nodes);
    slopes.setZero(network_.nodes, network_.nodes);
    auto leaves = [&](int node, double current_a) { excess(node) += current_a; };
    for (const auto& run : network_.runs) {
      const double conductance = 1 / run.resistance_ohm;
      const double current_a = (voltage(run.from) - voltage(run.to)) * conductance;
      leaves(run.from, current_a);
      leaves(run.to, -current_a);
      slopes(run.from, run.from) += conductance;
      slopes(run.to, run.to) += conductance;
      slopes(run.from, run.to) -= conductance;
      slopes(run.to, run.from) -= conductance;
    }
    for (std::size_t c = 0; c < network_.cells.size(); ++c) {
      if (is_open(c)) continue;
      const auto& cell = network_.cells[c];
      const double ohm = resistance_of(cell, voltage(cell.node));
      leaves(cell.node, (voltage(cell.node) - cell.emf_v) / ohm);
      slopes(cell.node, cell.node) += 1 / ohm;
    }
    for (const auto& alternator : network_.alternators) {
      const Injection in = regulated(alternator.regulated_v, alternator.resistance_ohm, alternator.greatest_a,
                                     voltage(alternator.node));
      leaves(alternator.node, -in.current_a);
      slopes(alternator.node, alternator.node) -= in.slope;
    }
    for (const auto& charger : network_.chargers) {
      const double in_v = voltage(charger.from), out_v = voltage(charger.to);
      const ChargerOutput out = put_out(charger, in_v, out_v);
      leaves(charger.to, -out.current_a);
      slopes(charger.to, charger.to) -= out.by_out_v;
      slopes(charger.to, charger.from) -= out.by_in_v;
      if (out.current_a == 0) continue;
      const double taken_a = out_v * out.current_a / (charger.efficiency * in_v);
      leaves(charger.from, taken_a);
      slopes(charger.from, charger.from) += taken_a * (out.by_in_v / out.current_a - 1 / in_v);
      slopes(charger.from, charger.to) +=
          (out.current_a + out_v * out.by_out_v) / (charger.efficiency * in_v);
    }
    for (const auto& load : network_.loads) {
      const Injection in = drawn(load, voltage(load.node));
      leaves(load.node, in.current_a);
      slopes(load.node, load.node) += in.slope;
    }
  }

 private:
  const SupplyNetwork& network_;
  const std::vector<bool>& open_;
};

void require_sound(const SupplyNetwork& network) {
  auto node = [&](int n) {
    if (n < 0 || n >= network.nodes) throw std::invalid_argument("a branch ends at a node that is not there");
  };
  auto resistance = [](double ohm) {
    if (!(ohm > 0)) throw std::invalid_argument("resistances of a supply are above 0");
  };
  for (const auto& run : network.runs) node(run.from), node(run.to), resistance(run.resistance_ohm);
  for (const auto& cell : network.cells) node(cell.node), resistance(cell.resistance_ohm);
  for (const auto& source : network.alternators) node(source.node), resistance(source.resistance_ohm);
  for (const auto& charger : network.chargers)
    node(charger.from), node(charger.to), resistance(charger.resistance_ohm), resistance(charger.efficiency);
  for (const auto& load : network.loads) {
    node(load.node);
    if (!(load.least_v > 0 && load.power_w >= 0))
      throw std::invalid_argument("a load has a power of 0 or more and a least voltage above 0");
  }
}

Eigen::VectorXd settled(const SupplyNetwork& network, const std::vector<bool>& open) {
  double highest_v = 0;
  for (const auto& cell : network.cells) highest_v = std::max(highest_v, cell.emf_v);
  for (const auto& source : network.alternators) highest_v = std::max(highest_v, source.regulated_v);
  for (const auto& charger : network.chargers) highest_v = std::max(highest_v, charger.regulated_v);
  const Balance balance(network, open);
  Eigen::VectorXd voltage = Eigen::VectorXd::Constant(network.nodes, highest_v), excess;
  Eigen::MatrixXd slopes;
  balance.at(voltage, excess, slopes);
  // The charge that each node holds, over the time step: the step grows as the network comes to rest, and
  // then each step is Newton's own; it shrinks where one has gone past a kink and must come back.
  double stiffness = 100;
  double rest = excess.norm();
  constexpr int most_steps = 2000;
  for (int step = 0; step < most_steps; ++step) {
    const double scale_a = slopes.cwiseAbs().maxCoeff() * std::max(1.0, highest_v);
    if (rest <= 1e-15 * scale_a) break;
    Eigen::MatrixXd shifted = slopes;
    shifted.diagonal().array() += stiffness;
    const Eigen::VectorXd moved = shifted.completeOrthogonalDecomposition().solve(excess);
    const Eigen::VectorXd before = excess;
    voltage -= moved;
    balance.at(voltage, excess, slopes);
    const double now = excess.norm();
    if (now >= rest && now <= 1e-12 * scale_a) break;  // what rounding leaves
    const bool overshot = excess.dot(before) < 0 && now > 0.1 * rest;
    stiffness = overshot ? std::min(1e6, 4 * std::max(stiffness, 1.0)) : 0.4 * stiffness;
    rest = now;
  }
  if (!(rest < 1e-6)) throw std::runtime_error("the supply does not settle");
  return voltage;
}

}  // namespace

SupplyFlow solve_supply(const SupplyNetwork& network, const std::vector<bool>& open) {
  require_sound(network);
  const Eigen::VectorXd voltage = settled(network, open);
  SupplyFlow flow;
  flow.node_v.assign(voltage.data(), voltage.data() + voltage.size());
  for (const auto& run : network.runs) {
    const double current_a = (voltage(run.from) - voltage(run.to)) / run.resistance_ohm;
    flow.run_a.push_back(current_a);
    flow.lost_w += current_a * current_a * run.resistance_ohm;
  }
  for (std::size_t c = 0; c < network.cells.size(); ++c) {
    const auto& cell = network.cells[c];
    const bool off = c < open.size() && open[c];
    const double ohm = resistance_of(cell, voltage(cell.node));
    const double current_a = off ? 0 : (cell.emf_v - voltage(cell.node)) / ohm;
    flow.cell_a.push_back(current_a);
    flow.given_w += cell.emf_v * current_a;
    flow.lost_w += current_a * current_a * ohm;
  }
  for (const auto& source : network.alternators) {
    const double current_a =
        regulated(source.regulated_v, source.resistance_ohm, source.greatest_a, voltage(source.node))
            .current_a;
    flow.alternator_a.push_back(current_a);
    flow.given_w += voltage(source.node) * current_a;
  }
  for (const auto& charger : network.chargers) {
    const double in_v = voltage(charger.from), out_v = voltage(charger.to);
    const double out_a = put_out(charger, in_v, out_v).current_a;
    flow.charger_out_a.push_back(out_a);
    flow.charger_in_a.push_back(out_a == 0 ? 0 : out_v * out_a / charger.efficiency / in_v);
    flow.lost_w += out_v * out_a * (1 / charger.efficiency - 1);
  }
  for (const auto& load : network.loads) {
    flow.load_a.push_back(drawn(load, voltage(load.node)).current_a);
    flow.taken_w += flow.load_a.back() * voltage(load.node);
  }
  return flow;
}

ProtectedFlow solve_protected_supply(const SupplyNetwork& network) {
  ProtectedFlow flow;
  std::vector<bool> open(network.cells.size(), false);
  flow.before = flow.after = solve_supply(network);
  while (true) {
    int worst = -1;
    double worst_ratio = 1 + 1e-9;
    for (std::size_t c = 0; c < network.cells.size(); ++c) {
      const double ratio = flow.after.cell_a[c] / network.cells[c].discharge_limit_a;
      if (!open[c] && ratio > worst_ratio) worst_ratio = ratio, worst = static_cast<int>(c);
    }
    if (worst < 0) return flow;
    open[static_cast<std::size_t>(worst)] = true;
    flow.opened.push_back(worst);
    flow.after = solve_supply(network, open);
  }
}

}  // namespace cabinfield
