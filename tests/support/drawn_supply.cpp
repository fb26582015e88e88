#include "support/drawn_supply.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <random>

namespace cabinfield::test {
namespace {

/// Numbers that are the same with any library.
class Drawer {
 public:
  explicit Drawer(unsigned number) : engine_(number) {}
  double between(double low, double high) {
    return low + (high - low) * static_cast<double>(engine_() >> 8U) / 16777216.0;
  }
  int below(int count) { return std::min(count - 1, static_cast<int>(between(0, count))); }
  bool one_in(int count) { return below(count) == 0; }

 private:
  std::mt19937 engine_;
};

constexpr double areas_mm2[] = {4, 6, 10, 16, 25, 35, 50, 70, 95};

PlannedCable cable(Drawer& draw, const std::string& from, const std::string& to) {
  PlannedCable made{from, to, {}, {}, {}};
  made.run.conductor = metric_conductor(areas_mm2[draw.below(9)] * 1e-6);
  made.run.length_m = draw.between(0.2, 6);
  made.run.returns_in_cable = !draw.one_in(3);
  return made;
}

class Laws {
 public:
  explicit Laws(const SupplyNetwork& network) : leaving_a(network.nodes, 0.0), gross_a(network.nodes, 0.0) {}

  void out_of(int node, double current_a, double rounding_a = 0) {
    leaving_a[static_cast<std::size_t>(node)] += current_a;
    gross_a[static_cast<std::size_t>(node)] += std::abs(current_a) + rounding_a;
  }
  void expect(bool holds, const std::string& words) {
    if (!holds && broken.empty()) broken = words;
  }

  std::vector<double> leaving_a, gross_a;
  std::string broken;
};

}  // namespace

DrawnSupply drawn_supply(unsigned number) {
  Drawer draw(number);
  DrawnSupply drawn;
  SupplyPlan& plan = drawn.plan;
  const int batteries = 1 + draw.below(3);
  for (int b = 0; b < batteries; ++b) {
    const auto chemistry = static_cast<Chemistry>(draw.below(4));
    PlannedBattery battery;
    static_cast<Battery&>(battery) = battery_of(chemistry, draw.between(20, 200));
    battery.name = fmt::format("battery_{}", b);
    battery.rest_v += draw.between(-0.6, 0.1);
    if (draw.one_in(3)) battery.continuous_a = battery.peak_a = draw.between(60, 400);
    plan.batteries.push_back(battery);
  }
  if (!draw.one_in(6))
    plan.alternator = {draw.between(55, 320), draw.one_in(3), draw.between(13.2, 14.9), draw.between(0, 60)};
  std::vector<std::string> ends{"battery_0"};
  if (plan.alternator && draw.one_in(2)) {
    plan.cables.push_back(cable(draw, "alternator", "battery_0"));
    if (draw.one_in(4)) ends.emplace_back("alternator");
  }
  for (int j = draw.below(3); j > 0; --j) {
    plan.junctions.push_back(fmt::format("bus_{}", j));
    plan.cables.push_back(
        cable(draw, ends[draw.below(static_cast<int>(ends.size()))], plan.junctions.back()));
    ends.push_back(plan.junctions.back());
  }
  for (int b = 1; b < batteries; ++b) {
    const std::string name = plan.batteries[static_cast<std::size_t>(b)].name,
                      from = ends[draw.below(static_cast<int>(ends.size()))];
    if (draw.one_in(2) || from == "alternator")
      plan.cables.push_back(cable(draw, "battery_0", name));
    else
      plan.chargers.push_back({fmt::format("charger_{}", b), from, name, draw.between(10, 80),
                               draw.between(13.6, 14.8), draw.between(0.85, 0.96)});
    ends.push_back(name);
  }
  if (draw.one_in(8)) {  // a bus that a charger alone feeds
    plan.junctions.emplace_back("island");
    plan.chargers.push_back({"charger_alone", "battery_0", "island", draw.between(10, 120),
                             draw.between(12.5, 14.8), draw.between(0.85, 0.96)});
    ends.emplace_back("island");
  }
  SupplyCase& of_case = drawn.of_case;
  for (int a = draw.below(6); a >= 0; --a) {
    drawn.amplifiers.push_back(fmt::format("amplifier_{}", a));
    plan.cables.push_back(
        cable(draw, ends[draw.below(static_cast<int>(ends.size()))], drawn.amplifiers.back()));
    of_case.draw_w.push_back(std::pow(10, draw.between(1, 3.5)));
  }
  of_case.alternator = !draw.one_in(4);
  of_case.peak = draw.one_in(2);
  return drawn;
}

std::string broken_law(const SupplyNetwork& network, const SupplyFlow& flow) {
  constexpr double exact = 1e-9;
  Laws laws(network);
  auto volts = [&](int node) { return flow.node_v[static_cast<std::size_t>(node)]; };
  for (double node_v : flow.node_v)
    laws.expect(std::isfinite(node_v) && node_v >= 0 && node_v < 20, fmt::format("{} V", node_v));
  for (std::size_t r = 0; r < network.runs.size(); ++r) {
    const auto& run = network.runs[r];
    // What the rounding of voltages makes of the difference.
    const double rounding_a = volts(run.from) / run.resistance_ohm;
    laws.expect(std::abs(flow.run_a[r] * run.resistance_ohm - volts(run.from) + volts(run.to)) < 1e-12,
                fmt::format("run {}: Ohm", r));
    laws.out_of(run.from, flow.run_a[r], rounding_a);
    laws.out_of(run.to, -flow.run_a[r], rounding_a);
  }
  double given_w = 0, taken_w = 0, lost_w = 0;
  for (std::size_t c = 0; c < network.cells.size(); ++c) {
    const auto& cell = network.cells[c];
    const double out_a = flow.cell_a[c], over_v = volts(cell.node) - cell.emf_v;
    const double ohm =
        over_v > 0 && cell.charge_resistance_ohm > 0 ? cell.charge_resistance_ohm : cell.resistance_ohm;
    laws.expect(std::abs(out_a * ohm + over_v) < 1e-11, fmt::format("cell {}: off its line", c));
    laws.out_of(cell.node, -out_a, cell.emf_v / ohm);
    given_w += cell.emf_v * out_a;
    lost_w += out_a * out_a * ohm;
  }
  for (std::size_t s = 0; s < network.alternators.size(); ++s) {
    const auto& source = network.alternators[s];
    const double out_a = flow.alternator_a[s], node_v = volts(source.node);
    const double left_a = source.greatest_a - out_a;  // 0 where limited
    const double missing_v =
        source.regulated_v - node_v - out_a * source.resistance_ohm;  // 0 where regulated
    laws.expect(out_a >= 0 && left_a >= -1e-9, fmt::format("alternator {}: {} A", s, out_a));
    if (out_a > 1e-6)
      laws.expect(missing_v > -1e-9 &&
                      std::min(std::abs(left_a) * source.resistance_ohm, std::abs(missing_v)) < 1e-10,
                  fmt::format("alternator {}: {} A at {} V", s, out_a, node_v));
    else
      laws.expect(missing_v < 1e-8, fmt::format("alternator {}: rests at {} V", s, node_v));
    laws.out_of(source.node, -out_a, source.regulated_v / source.resistance_ohm);
    given_w += node_v * out_a;
  }
  for (std::size_t c = 0; c < network.chargers.size(); ++c) {
    const auto& charger = network.chargers[c];
    const double out_a = flow.charger_out_a[c], in_a = flow.charger_in_a[c], in_v = volts(charger.from),
                 out_v = volts(charger.to);
    const double may_a = std::clamp((in_v - charger.least_input_v) / 0.5, 0.0, 1.0) * charger.greatest_a;
    const double wanted_a = std::max(0.0, (charger.regulated_v - out_v) / charger.resistance_ohm);
    laws.expect(std::abs(out_a - std::min(may_a, wanted_a)) < 1e-8,
                fmt::format("charger {}: {} A, may {} A, wants {} A", c, out_a, may_a, wanted_a));
    laws.expect(std::abs(in_a * in_v * charger.efficiency - out_a * out_v) < 1e-8,
                fmt::format("charger {}: efficiency", c));
    laws.out_of(charger.to, -out_a, charger.regulated_v / charger.resistance_ohm);
    laws.out_of(charger.from, in_a, charger.regulated_v / charger.resistance_ohm);
    lost_w += in_a * in_v - out_a * out_v;
  }
  for (std::size_t l = 0; l < network.loads.size(); ++l) {
    const auto& load = network.loads[l];
    const double node_v = volts(load.node), in_a = flow.load_a[l];
    if (load.power_at.empty())
      laws.expect(std::abs(in_a - (node_v >= load.least_v
                                       ? load.power_w / node_v
                                       : load.power_w * node_v / (load.least_v * load.least_v))) < 1e-9,
                  fmt::format("load {}: {} A at {} V", l, in_a, node_v));
    laws.out_of(load.node, in_a);
    taken_w += node_v * in_a;
  }
  for (std::size_t r = 0; r < network.runs.size(); ++r)
    lost_w += flow.run_a[r] * flow.run_a[r] * network.runs[r].resistance_ohm;
  for (std::size_t n = 0; n < laws.leaving_a.size(); ++n)
    laws.expect(std::abs(laws.leaving_a[n]) <= 1e-13 * laws.gross_a[n] + 1e-12,
                fmt::format("node {}: {} A left over", n, laws.leaving_a[n]));
  const double gross_w = std::abs(given_w) + taken_w + lost_w + 1;
  laws.expect(std::abs(given_w - taken_w - lost_w) <= exact * gross_w,
              fmt::format("power: {} W given, {} W taken, {} W lost", given_w, taken_w, lost_w));
  laws.expect(std::abs(flow.given_w - flow.taken_w - flow.lost_w) <= exact * gross_w,
              "told power does not balance");
  return laws.broken;
}

}  // namespace cabinfield::test
