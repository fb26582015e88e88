#include "system/supply_network.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace cabinfield {
namespace {

/// What a branch puts into its node at a voltage there, how that changes with it, and the potential whose
/// slope is minus that current: what the network as a whole comes to rest by is the least of their sum.
struct Branch {
  double current_a = 0, slope = 0, potential_w = 0;
};

Branch regulated(double set_v, double resistance_ohm, double greatest_a, double node_v) {
  const double missing_v = set_v - node_v, wanted_a = missing_v / resistance_ohm;
  if (wanted_a < 0) return {};
  if (wanted_a >= greatest_a)
    return {greatest_a, 0, greatest_a * missing_v - greatest_a * greatest_a * resistance_ohm / 2};
  return {wanted_a, -1 / resistance_ohm, missing_v * wanted_a / 2};
}

Branch cell_branch(const SupplyNetwork::Cell& cell, double node_v) {
  const bool charged = node_v > cell.emf_v && cell.charge_resistance_ohm > 0;
  const double ohm = charged ? cell.charge_resistance_ohm : cell.resistance_ohm, over_v = node_v - cell.emf_v;
  return {-over_v / ohm, -1 / ohm, over_v * over_v / (2 * ohm)};
}

Branch load_branch(const SupplyNetwork::Load& load, double node_v) {
  if (node_v >= load.least_v)
    return {-load.power_w / node_v, load.power_w / (node_v * node_v), load.power_w * std::log(node_v)};
  const double conductance = load.power_w / (load.least_v * load.least_v);
  return {-conductance * node_v, -conductance,
          load.power_w * std::log(load.least_v) + (node_v * node_v * conductance - load.power_w) / 2};
}

/// What it may put out. It comes up over a half volt of its input: what switches would have no steady state.
double charger_most_a(const SupplyNetwork::Charger& charger, double in_v) {
  constexpr double coming_up_v = 0.5;
  return std::clamp((in_v - charger.least_input_v) / coming_up_v, 0.0, 1.0) * charger.greatest_a;
}
double charger_output_a(const SupplyNetwork::Charger& charger, double most_a, double out_v) {
  return regulated(charger.regulated_v, charger.resistance_ohm, most_a, out_v).current_a;
}

/// The network with its chargers taken apart: each a source of so many amperes at most, and a load.
struct Apart {
  const SupplyNetwork& network;
  const std::vector<bool>& open;
  std::vector<double> most_a;                ///< of each charger
  std::vector<SupplyNetwork::Load> drawing;  ///< of each charger

  struct Balance {
    Eigen::VectorXd excess_a;  ///< that leaves each node, less what enters it
    Eigen::MatrixXd slopes;
    double potential_w = 0;
  };

  Balance at(const Eigen::VectorXd& voltage) const {
    Balance balance{Eigen::VectorXd::Zero(network.nodes),
                    Eigen::MatrixXd::Zero(network.nodes, network.nodes)};
    for (const auto& run : network.runs) {
      const double conductance = 1 / run.resistance_ohm, across_v = voltage(run.from) - voltage(run.to);
      balance.excess_a(run.from) += across_v * conductance;
      balance.excess_a(run.to) -= across_v * conductance;
      balance.slopes(run.from, run.from) += conductance;
      balance.slopes(run.to, run.to) += conductance;
      balance.slopes(run.from, run.to) -= conductance;
      balance.slopes(run.to, run.from) -= conductance;
      balance.potential_w += across_v * across_v * conductance / 2;
    }
    auto join = [&](int node, const Branch& branch) {
      balance.excess_a(node) -= branch.current_a;
      balance.slopes(node, node) -= branch.slope;
      balance.potential_w += branch.potential_w;
    };
    for (std::size_t c = 0; c < network.cells.size(); ++c)
      if (c >= open.size() || !open[c])
        join(network.cells[c].node, cell_branch(network.cells[c], voltage(network.cells[c].node)));
    for (const auto& source : network.alternators)
      join(source.node,
           regulated(source.regulated_v, source.resistance_ohm, source.greatest_a, voltage(source.node)));
    for (const auto& load : network.loads) join(load.node, load_branch(load, voltage(load.node)));
    for (std::size_t c = 0; c < network.chargers.size(); ++c) {
      const auto& charger = network.chargers[c];
      join(charger.to,
           regulated(charger.regulated_v, charger.resistance_ohm, most_a[c], voltage(charger.to)));
      join(charger.from, load_branch(drawing[c], voltage(charger.from)));
    }
    return balance;
  }
};

/// Where the potential is least, downhill from the given voltages: Newton's steps, shortened as Levenberg and
/// Marquardt do until they lead down.
Eigen::VectorXd at_rest(const Apart& apart, Eigen::VectorXd voltage) {
  Apart::Balance here = apart.at(voltage);
  double damping = 1;
  constexpr int most_steps = 500;
  for (int step = 0; step < most_steps && damping < 1e15; ++step) {
    if (here.excess_a.norm() == 0) break;
    Eigen::MatrixXd shifted = here.slopes;
    shifted.diagonal().array() += damping;
    const Eigen::VectorXd there = voltage - shifted.completeOrthogonalDecomposition().solve(here.excess_a);
    Apart::Balance then = apart.at(there);
    // What rounding leaves of the potential tells nothing: there the currents themselves do.
    const double level_w = 1e-13 * (std::abs(here.potential_w) + 1);
    const bool down =
        then.potential_w < here.potential_w - level_w ||
        (then.potential_w < here.potential_w + level_w && then.excess_a.norm() < here.excess_a.norm());
    if (down) {
      voltage = there;
      here = std::move(then);
      damping = damping < 1e-9 ? 0 : 0.1 * damping;
    } else {
      damping = std::max(10 * damping, 1e-6);
    }
  }
  constexpr double settled_a = 1e-6;
  if (!(here.excess_a.norm() < settled_a)) throw std::runtime_error("the supply does not settle");
  return voltage;
}

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

/// At every node the highest of what runs join to it; 0 where nothing feeds it. From just there the slope of
/// a source leads down: from further above, where it gives nothing yet, a step may leap over all that it
/// gives.
Eigen::VectorXd full_voltage(const SupplyNetwork& network) {
  Eigen::VectorXd voltage = Eigen::VectorXd::Zero(network.nodes);
  for (const auto& cell : network.cells) voltage(cell.node) = std::max(voltage(cell.node), cell.emf_v);
  for (const auto& source : network.alternators)
    voltage(source.node) = std::max(voltage(source.node), source.regulated_v);
  for (const auto& charger : network.chargers)
    voltage(charger.to) = std::max(voltage(charger.to), charger.regulated_v);
  for (int round = 0; round < network.nodes; ++round)
    for (const auto& run : network.runs)
      voltage(run.from) = voltage(run.to) = std::max(voltage(run.from), voltage(run.to));
  return voltage;
}

/// A value that follows another in steps, which become shorter where they go to and fro.
struct Follower {
  double value = 0, part = 1, before = 0;
  /// How far off it was.
  double follow(double wanted) {
    const double change = wanted - value;
    if (change * before < -0.3 * before * before) part *= 0.7;
    before = change;
    value += part * change;
    return std::abs(change);
  }
};

struct Settled {
  Eigen::VectorXd voltage;
  std::vector<double> charger_out_a;
};

Settled settled(const SupplyNetwork& network, const std::vector<bool>& open) {
  const std::size_t chargers = network.chargers.size();
  Apart apart{network, open, std::vector<double>(chargers, 0.0), {}};
  for (const auto& charger : network.chargers)
    apart.drawing.push_back({charger.from, 0, charger.least_input_v});
  const Eigen::VectorXd above = full_voltage(network);
  Eigen::VectorXd voltage = at_rest(apart, above);
  // Chargers are put together again step by step: what each may put out follows its input, what it draws its
  // output. It may put out more than it does: a charger that alone feeds a load has no rest at just that.
  std::vector<Follower> most(chargers), out(chargers);
  constexpr int most_rounds = 400;
  constexpr double near_a = 1e-11, near_enough_a = 1e-8;
  for (int round = 0; chargers > 0; ++round) {
    double off = 0;
    for (std::size_t c = 0; c < chargers; ++c) {
      const auto& charger = network.chargers[c];
      const double out_v = voltage(charger.to), may_a = charger_most_a(charger, voltage(charger.from));
      const double most_off_a = most[c].follow(may_a),
                   out_off_a = out[c].follow(charger_output_a(charger, may_a, out_v));
      apart.most_a[c] = most[c].value;
      const double power_w = out_v * out[c].value / charger.efficiency;
      off = std::max(
          {off, most_off_a, out_off_a, std::abs(power_w - apart.drawing[c].power_w) / charger.least_input_v});
      apart.drawing[c].power_w = power_w;
    }
    if (off < near_a) break;
    if (round == most_rounds) {
      // A charger whose input cannot carry it drops out and comes back for ever: taken for resting.
      if (off > near_enough_a)
        for (std::size_t c = 0; c < chargers; ++c) apart.most_a[c] = apart.drawing[c].power_w = 0;
      voltage = at_rest(apart, above);
      break;
    }
    voltage = at_rest(apart, above);
  }
  std::vector<double> charger_out_a;
  for (std::size_t c = 0; c < chargers; ++c)
    charger_out_a.push_back(
        charger_output_a(network.chargers[c], apart.most_a[c], voltage(network.chargers[c].to)));
  return {voltage, charger_out_a};
}

}  // namespace

SupplyFlow solve_supply(const SupplyNetwork& network, const std::vector<bool>& open) {
  require_sound(network);
  const auto [voltage, charger_out_a] = settled(network, open);
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
    const double current_a = off ? 0 : cell_branch(cell, voltage(cell.node)).current_a;
    flow.cell_a.push_back(current_a);
    flow.given_w += cell.emf_v * current_a;
    flow.lost_w += (cell.emf_v - voltage(cell.node)) * current_a;
  }
  for (const auto& source : network.alternators) {
    const double current_a =
        regulated(source.regulated_v, source.resistance_ohm, source.greatest_a, voltage(source.node))
            .current_a;
    flow.alternator_a.push_back(current_a);
    flow.given_w += voltage(source.node) * current_a;
  }
  for (std::size_t c = 0; c < network.chargers.size(); ++c) {
    const auto& charger = network.chargers[c];
    const double in_v = voltage(charger.from), out_v = voltage(charger.to), out_a = charger_out_a[c];
    flow.charger_out_a.push_back(out_a);
    flow.charger_in_a.push_back(out_a == 0 ? 0 : out_v * out_a / charger.efficiency / in_v);
    flow.lost_w += out_v * out_a * (1 / charger.efficiency - 1);
  }
  for (const auto& load : network.loads) {
    flow.load_a.push_back(-load_branch(load, voltage(load.node)).current_a);
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
