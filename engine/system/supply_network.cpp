#include "system/supply_network.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <optional>
#include <stdexcept>
#include <utility>

namespace cabinfield {
namespace {

/// Over which a charger comes up from rest: one that switches would have no steady state.
constexpr double coming_up_v = 0.5;
/// The most that its input lets it put out.
double charger_most_a(const SupplyNetwork::Charger& charger, double in_v) {
  return std::clamp((in_v - charger.least_input_v) / coming_up_v, 0.0, 1.0) * charger.greatest_a;
}
BranchCurve charger_output(const SupplyNetwork::Charger& charger, double in_v) {
  return regulated_source(charger.regulated_v, charger.resistance_ohm, charger_most_a(charger, in_v));
}

/// What rounding leaves of a sum of currents, as a part of their magnitudes.
constexpr double rounding = 4e-15;

/// True where A x = 1 has x > 0. With no positive entry off its diagonal A is then a nonsingular M-matrix:
/// its inverse has no negative entry.
bool is_m_matrix(const Eigen::MatrixXd& matrix) {
  const Eigen::VectorXd test = matrix.partialPivLu().solve(Eigen::VectorXd::Ones(matrix.rows()));
  return test.allFinite() && test.minCoeff() > 0;
}

/// The network as curves at nodes and conductances between them.
class NodeEquations {
 public:
  /// Chargers draw for the output voltages given, one each, or for those that they have where it is empty.
  NodeEquations(const SupplyNetwork& network, const std::vector<bool>& open, const std::vector<bool>& resting,
                std::vector<double> charger_volts = {})
      : network_(network), resting_(resting), charger_volts_(std::move(charger_volts)) {
    conductance_s_ = Eigen::MatrixXd::Zero(network.nodes, network.nodes);
    for (const auto& run : network.runs) {
      if (run.from == run.to) continue;
      const double conductance = 1 / run.resistance_ohm;
      conductance_s_(run.from, run.from) += conductance;
      conductance_s_(run.to, run.to) += conductance;
      conductance_s_(run.from, run.to) -= conductance;
      conductance_s_(run.to, run.from) -= conductance;
    }
    for (std::size_t c = 0; c < network.cells.size(); ++c)
      if (c >= open.size() || !open[c]) {
        const auto& cell = network.cells[c];
        branches_.push_back(
            {cell.node, battery_curve(cell.emf_v, cell.resistance_ohm, cell.charge_resistance_ohm)});
      }
    for (const auto& source : network.alternators)
      branches_.push_back(
          {source.node, regulated_source(source.regulated_v, source.resistance_ohm, source.greatest_a)});
    for (const auto& load : network.loads)
      branches_.push_back({load.node, load_curve(load.power_w, load.least_v, load.power_at)});
  }

  struct Excess {
    Eigen::VectorXd current_a;  ///< that leaves each node, less what enters it
    bool settled = true;        ///< nothing left of it but rounding
  };

  Excess excess(const Eigen::VectorXd& voltage) const {
    Excess excess{conductance_s_ * voltage, true};
    Eigen::VectorXd magnitude_a = conductance_s_.cwiseAbs() * voltage.cwiseAbs();
    auto join = [&](int node, const BranchCurve& curve) {
      excess.current_a(node) += curve.current_a(voltage(node));
      magnitude_a(node) += curve.gross_a(voltage(node));
    };
    for (const Branch& branch : branches_) join(branch.node, branch.curve);
    each_charger([&](std::size_t c, const SupplyNetwork::Charger& charger) {
      join(charger.to, output(charger, voltage));
      join(charger.from, input(c, charger, voltage));
    });
    excess.settled = (excess.current_a.cwiseAbs().array() <= rounding * (magnitude_a.array() + 1)).all();
    return excess;
  }

  Eigen::MatrixXd derivative(const Eigen::VectorXd& voltage) const {
    Eigen::MatrixXd slopes = conductance_s_;
    for (const Branch& branch : branches_)
      slopes(branch.node, branch.node) += branch.curve.slope_s(voltage(branch.node));
    each_charger([&](std::size_t c, const SupplyNetwork::Charger& charger) {
      const BranchCurve out = output(charger, voltage);
      const double out_slope_s = out.slope_s(voltage(charger.to)), in_v = voltage(charger.from);
      slopes(charger.to, charger.to) += out_slope_s;
      slopes(charger.from, charger.from) += input(c, charger, voltage).slope_s(in_v);
      const double may_a = charger_most_a(charger, in_v);
      if (out_slope_s > 0 && in_v > charger.least_input_v)
        slopes(charger.from, charger.to) -= out_slope_s * product_v(c, charger, voltage) / in_v;
      else if (may_a > 0 && may_a < charger.greatest_a && voltage(charger.to) < charger.regulated_v)
        slopes(charger.to, charger.from) -= charger.greatest_a / coming_up_v;
      if (charger_volts_.empty() && in_v > 0)
        slopes(charger.from, charger.to) -= out.current_a(voltage(charger.to)) / charger.efficiency / in_v;
    });
    return slopes;
  }

  /// F(v) - F(w) <= A (v - w) for every w from 0 to v; with output voltages given.
  Eigen::MatrixXd upper_slopes(const Eigen::VectorXd& voltage) const {
    Eigen::MatrixXd slopes = conductance_s_;
    for (const Branch& branch : branches_)
      slopes(branch.node, branch.node) += branch.curve.steepest_secant_s(voltage(branch.node));
    each_charger([&](std::size_t c, const SupplyNetwork::Charger& charger) {
      slopes(charger.to, charger.to) += output(charger, voltage).steepest_secant_s(voltage(charger.to));
      slopes(charger.from, charger.from) +=
          input(c, charger, voltage).steepest_secant_s(voltage(charger.from));
    });
    return slopes;
  }

  /// F(w) - F(low) >= A (w - low) for every w from `low` to `high`; with output voltages given. Nodes where
  /// both are the same are left out.
  Eigen::MatrixXd lower_slopes(const Eigen::VectorXd& low, const Eigen::VectorXd& high) const {
    Eigen::MatrixXd slopes = conductance_s_;
    for (const Branch& branch : branches_)
      slopes(branch.node, branch.node) += branch.curve.least_slope_s(low(branch.node), high(branch.node));
    each_charger([&](std::size_t c, const SupplyNetwork::Charger& charger) {
      // Less is let through at the lower input, more is drawn at the lower output.
      slopes(charger.to, charger.to) +=
          std::min(output(charger, low).least_slope_s(low(charger.to), high(charger.to)),
                   output(charger, high).least_slope_s(low(charger.to), high(charger.to)));
      const double in_v = std::max(low(charger.from), charger.least_input_v);
      slopes(charger.from, charger.from) -= charger.greatest_a * product_v(c, charger, low) / (in_v * in_v);
      if (high(charger.from) > charger.least_input_v &&
          low(charger.from) < charger.least_input_v + coming_up_v)
        slopes(charger.to, charger.from) -= charger.greatest_a / coming_up_v;
      if (high(charger.to) > charger.regulated_v - charger.resistance_ohm * charger.greatest_a)
        slopes(charger.from, charger.to) -= product_v(c, charger, low) / charger.resistance_ohm / in_v;
    });
    for (int node = 0; node < network_.nodes; ++node)
      if (low(node) == high(node)) {
        slopes.row(node).setZero();
        slopes.col(node).setZero();
        slopes(node, node) = 1;
      }
    return slopes;
  }

 private:
  struct Branch {
    int node;
    BranchCurve curve;
  };

  template <class Visit>
  void each_charger(Visit visit) const {
    for (std::size_t c = 0; c < network_.chargers.size(); ++c)
      if (!resting_[c]) visit(c, network_.chargers[c]);
  }
  static BranchCurve output(const SupplyNetwork::Charger& charger, const Eigen::VectorXd& voltage) {
    return charger_output(charger, voltage(charger.from));
  }
  double product_v(std::size_t c, const SupplyNetwork::Charger& charger,
                   const Eigen::VectorXd& voltage) const {
    return (charger_volts_.empty() ? voltage(charger.to) : charger_volts_[c]) / charger.efficiency;
  }
  BranchCurve input(std::size_t c, const SupplyNetwork::Charger& charger,
                    const Eigen::VectorXd& voltage) const {
    const double wanted_a = (charger.regulated_v - voltage(charger.to)) / charger.resistance_ohm;
    return charger_draw(wanted_a, charger.greatest_a, charger.least_input_v, coming_up_v,
                        product_v(c, charger, voltage));
  }

  const SupplyNetwork& network_;
  const std::vector<bool>& resting_;
  std::vector<double> charger_volts_;
  Eigen::MatrixXd conductance_s_;
  std::vector<Branch> branches_;
};

/// Newton's method, or nothing where it leaves the box between 0 and `above` or finds no end.
std::optional<Eigen::VectorXd> newton(const NodeEquations& equations, Eigen::VectorXd voltage,
                                      const Eigen::VectorXd& above) {
  constexpr int most_steps = 20;
  constexpr double slack_v = 1e-9;
  for (int step = 0; step < most_steps; ++step) {
    const auto excess = equations.excess(voltage);
    if (excess.settled) return voltage;
    Eigen::MatrixXd slopes = equations.derivative(voltage);
    slopes.diagonal().array() += 1e-12;  // nodes that nothing is joined to
    voltage -= slopes.partialPivLu().solve(excess.current_a);
    if (!voltage.allFinite() || voltage.minCoeff() < -slack_v || (voltage - above).maxCoeff() > slack_v)
      return std::nullopt;
    voltage = voltage.cwiseMax(0.0);
  }
  return std::nullopt;
}

/// The greatest solution below a voltage at which nothing enters any node that does not leave it. Nothing
/// where the steps to it become too many.
std::optional<Eigen::VectorXd> greatest_below(const NodeEquations& equations, Eigen::VectorXd voltage) {
  constexpr int most_steps = 1000;
  for (int step = 0; step < most_steps; ++step) {
    const auto excess = equations.excess(voltage);
    if (excess.settled) return voltage;
    if (const auto found = newton(equations, voltage, voltage)) {
      const Eigen::VectorXd low = found->cwiseMin(voltage);
      if (is_m_matrix(equations.lower_slopes(low, voltage))) return *found;
      constexpr double same_v = 1e-9;
      if ((voltage - low).maxCoeff() < same_v) return *found;
    }
    Eigen::MatrixXd slopes = equations.upper_slopes(voltage);
    double shift_s = 1e-9;
    slopes.diagonal().array() += shift_s;
    while (!is_m_matrix(slopes)) {
      slopes.diagonal().array() += shift_s;
      shift_s *= 2;
    }
    const Eigen::VectorXd next =
        (voltage - slopes.partialPivLu().solve(excess.current_a.cwiseMax(0.0))).cwiseMax(0.0);
    if (next == voltage) return voltage;
    voltage = next;
  }
  return std::nullopt;
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

/// At every node the highest that runs join to it; 0 where nothing feeds it. No node has more leaving it
/// there than enters.
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

/// Where voltages come to rest in time, with the same capacitance at every node: backward Euler steps of at
/// most so many volts. Nothing where they do not, or where the slopes there would drive them away.
std::optional<Eigen::VectorXd> rest_in_time(const NodeEquations& equations, const Eigen::VectorXd& above) {
  constexpr int most_steps = 3000, most_iterations = 8;
  constexpr double most_change_v = 0.05, found_v = 1e-9, long_s = 1e6;
  Eigen::VectorXd voltage = above;
  double step_s = 1e-4;  // with 1 F at every node
  for (int step = 0; step < most_steps && step_s < long_s; ++step) {
    Eigen::VectorXd next = voltage;
    bool found = false;
    for (int iteration = 0; iteration < most_iterations && !found; ++iteration) {
      Eigen::MatrixXd slopes = equations.derivative(next);
      slopes.diagonal().array() += 1 / step_s;
      const Eigen::VectorXd change =
          slopes.partialPivLu().solve(equations.excess(next).current_a + (next - voltage) / step_s);
      next -= change;
      if (!next.allFinite() || next.minCoeff() < -most_change_v) break;
      next = next.cwiseMax(0.0);
      found = change.cwiseAbs().maxCoeff() < found_v;
    }
    if (!found || (next - voltage).cwiseAbs().maxCoeff() > most_change_v) {
      step_s /= 3;
      continue;
    }
    voltage = next;
    step_s *= 1.3;
  }
  auto rest = newton(equations, voltage, above);
  // Where nothing but a charger at its least input joins a node, slopes vanish and Newton's method with them.
  constexpr double nothing_a = 1e-10;
  if (!rest && equations.excess(voltage).current_a.cwiseAbs().maxCoeff() < nothing_a) rest = voltage;
  if (!rest) return rest;
  constexpr double rounding_s = 1e-6;  // a node that nothing is joined to has no slope
  const bool stable = equations.derivative(*rest).eigenvalues().real().minCoeff() > -rounding_s;
  return stable ? rest : std::nullopt;
}

/// A value that follows another in steps, which become shorter where they go to and fro.
struct Follower {
  double value = 0, part = 1, before = 0;
  void follow(double wanted) {
    const double change = wanted - value;
    if (change * before < -0.3 * before * before) part *= 0.7;
    before = change;
    value += part * change;
  }
};

/// Output voltages of chargers, in the power that they draw, are made to agree with those that come of it.
/// Nothing where they never do.
std::optional<Eigen::VectorXd> agreed(const SupplyNetwork& network, const std::vector<bool>& open,
                                      const std::vector<bool>& resting, const Eigen::VectorXd& above) {
  constexpr int most_rounds = 60;
  constexpr double same_v = 1e-10;
  const std::size_t chargers = network.chargers.size();
  auto at_rest = [&](const std::vector<double>& charger_volts) {
    return greatest_below(NodeEquations(network, open, resting, charger_volts), above);
  };
  std::vector<Follower> volts;
  for (const auto& charger : network.chargers) volts.push_back({charger.regulated_v});
  for (int round = 0; round < most_rounds; ++round) {
    std::vector<double> given_v, found_v;
    for (const Follower& follower : volts) given_v.push_back(follower.value);
    const auto voltage = at_rest(given_v);
    if (!voltage) return voltage;
    bool agrees = true;
    for (std::size_t c = 0; c < chargers; ++c) {
      const double out_v = (*voltage)(network.chargers[c].to);
      agrees = agrees && (resting[c] || std::abs(out_v - given_v[c]) < same_v);
      volts[c].follow(out_v);
    }
    // Newton's method for all chargers at once; accepted if it reproduces its own output voltages.
    if (const auto all = newton(NodeEquations(network, open, resting), *voltage, above)) {
      for (const auto& charger : network.chargers) found_v.push_back((*all)(charger.to));
      const auto again = at_rest(found_v);
      if (agrees || (again && (*again - *all).cwiseAbs().maxCoeff() < same_v)) return all;
    }
    if (agrees) return voltage;
  }
  return std::nullopt;
}

struct Rest {
  Eigen::VectorXd voltage;
  bool chargers = true;  ///< false: without them, since with them there is none
};

Rest rest_of(const SupplyNetwork& network, const std::vector<bool>& open) {
  const Eigen::VectorXd above = full_voltage(network);
  const std::vector<bool> none(network.chargers.size(), false), all(network.chargers.size(), true);
  if (auto voltage = agreed(network, open, none, above)) return {*std::move(voltage)};
  if (auto voltage = rest_in_time(NodeEquations(network, open, none), above)) return {*std::move(voltage)};
  return {agreed(network, open, all, above).value_or(above), false};
}

}  // namespace

SupplyFlow solve_supply(const SupplyNetwork& network, const std::vector<bool>& open) {
  require_sound(network);
  const auto [voltage, with_chargers] = rest_of(network, open);
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
    const BranchCurve curve = battery_curve(cell.emf_v, cell.resistance_ohm, cell.charge_resistance_ohm);
    const double current_a = off ? 0 : -curve.current_a(voltage(cell.node));
    flow.cell_a.push_back(current_a);
    flow.given_w += cell.emf_v * current_a;
    flow.lost_w += (cell.emf_v - voltage(cell.node)) * current_a;
  }
  for (const auto& source : network.alternators) {
    const BranchCurve curve = regulated_source(source.regulated_v, source.resistance_ohm, source.greatest_a);
    const double current_a = std::max(0.0, -curve.current_a(voltage(source.node)));
    flow.alternator_a.push_back(current_a);
    flow.given_w += voltage(source.node) * current_a;
  }
  for (std::size_t c = 0; c < network.chargers.size(); ++c) {
    const auto& charger = network.chargers[c];
    const double in_v = voltage(charger.from), out_v = voltage(charger.to);
    const double out_a = with_chargers ? std::max(0.0, -charger_output(charger, in_v).current_a(out_v)) : 0;
    const double wanted_a =
        std::min((charger.regulated_v - out_v) / charger.resistance_ohm, charger.greatest_a);
    constexpr double exact = 1 + 1e-9;
    if (wanted_a > out_a * exact) flow.starved.push_back(static_cast<int>(c));
    flow.charger_out_a.push_back(out_a);
    flow.charger_in_a.push_back(out_a == 0 ? 0 : out_v * out_a / charger.efficiency / in_v);
    flow.lost_w += out_v * out_a * (1 / charger.efficiency - 1);
  }
  for (const auto& load : network.loads) {
    const BranchCurve curve = load_curve(load.power_w, load.least_v, load.power_at);
    flow.load_a.push_back(curve.current_a(voltage(load.node)));
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
