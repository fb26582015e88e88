// What flows in the supply under music, full bass and a full sine; protection circuits, drops, heat, fuses.
//
// An amplifier draws what goes with the voltage that the network leaves it: unless it is regulated its full
// power falls with the square of that voltage, and its current with the voltage; a regulated one draws more
// current at less voltage.
//
// Music of the scene's crest factor draws that part of a sine's power. Full bass is a full-scale sine of 150
// Hz or below on each channel that lets it through in any preset, with music on all others: cables and fuses
// are dimensioned for it, since bass notes last for minutes. Heat for good and playing time follow music.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "plan/judge_system.h"
#include "system/fuse.h"
#include "system/joined_nodes.h"
#include "system/supply_case.h"

namespace cabinfield {
namespace {

/// Of a supply whose drops are judged as a part of it, engine running (common practice, no source).
constexpr double running_v = 13.8;
/// Voltages at which the draw of an amplifier is taken, V: from the least it works with to more than any
/// source gives; an odd number.
constexpr double least_draw_v = 10.5, draw_step_v = 0.5;
constexpr std::size_t draw_voltages = 13;
double draw_voltage_v(std::size_t i) { return least_draw_v + draw_step_v * static_cast<double>(i); }
/// The most that a cable, and all the way to an amplifier, may drop, V and part of the supply (common
/// practice, no source).
constexpr double most_drop_v = 0.5, most_drop_part = 0.03;
constexpr double allowed_drop_v = std::max(most_drop_v, most_drop_part* running_v);
/// The most that may flow parked (common practice, no source).
constexpr double most_parked_a = 0.050;

const char* const case_names[load_cases] = {"music, engine running", "full bass, engine running",
                                            "full sine, engine running", "music, engine off",
                                            "full bass, alternator off"};

/// Greatest sine of a channel at each of the voltages, and the greatest of 150 Hz or below, W.
struct SinePower {
  std::array<double, draw_voltages> any{}, bass{};
};
using SinePowers = std::vector<SinePower>;

SinePowers sine_powers(const Scene& scene, const std::vector<ChannelLoad>& loads,
                       const SystemReport& report) {
  SinePowers powers(report.feed.size());
  for (std::size_t c = 0; c < report.feed.size(); ++c) {
    const FeedRow& row = report.feed[c];
    if (row.amplifier < 0 || loads[c].load_ohm.empty()) continue;
    const Amplifier& amplifier = scene.system.amplifiers[static_cast<std::size_t>(row.amplifier)].amplifier;
    const bool bridged = row.bridged_with > 0;
    for (std::size_t i = 0; i < draw_voltages; ++i) {
      powers[c].any[i] = greatest_power_w(loads[c], amplifier, bridged, draw_voltage_v(i));
      powers[c].bass[i] = bass_power_w(loads[c], amplifier, bridged, draw_voltage_v(i));
    }
  }
  return powers;
}

/// What an amplifier draws over its voltage.
std::vector<PowerAtVoltage> draw_of(const Scene& scene, const SystemReport& report, const SinePowers& powers,
                                    std::size_t amplifier, LoadCase of) {
  const bool bass = of == LoadCase::bass_running || of == LoadCase::bass_off;
  const double music_part = 2 * std::pow(10, -scene.system.crest_db / 10);
  std::vector<PowerAtVoltage> draw;
  for (std::size_t i = 0; i < draw_voltages; ++i) {
    double full_w = 0, output_w = 0;
    for (std::size_t c = 0; c < report.feed.size(); ++c) {
      if (report.feed[c].amplifier != static_cast<int>(amplifier)) continue;
      const double sine_w = powers[c].any[i], bass_w = bass ? powers[c].bass[i] : 0;
      full_w += sine_w;
      output_w +=
          of == LoadCase::full_running ? sine_w : std::min(sine_w, std::max(bass_w, music_part * sine_w));
    }
    const double voltage_v = draw_voltage_v(i);
    draw.push_back(
        {voltage_v, draw_w(scene.system.amplifiers[amplifier].amplifier, output_w, full_w, voltage_v)});
  }
  return draw;
}

SupplyCase supply_case(const Scene& scene, const SystemReport& report, const SinePowers& powers,
                       LoadCase of) {
  SupplyCase result;
  for (std::size_t a = 0; a < report.amplifier.size(); ++a)
    result.draw_at.push_back(draw_of(scene, report, powers, a, of));
  result.engine = of != LoadCase::music_off;
  result.alternator = result.engine && of != LoadCase::bass_off;
  result.peak = of != LoadCase::music_running && of != LoadCase::music_off;
  return result;
}

struct Judge {
  const Scene& scene;
  const SupplyPlan& plan;
  SystemReport& report;
  std::vector<Check>& checks;

  std::size_t at(LoadCase of) const { return static_cast<std::size_t>(of); }
  void add(Rule rule, const std::string& subject, bool holds, std::optional<Margin> margin,
           std::string words) const {
    checks.push_back(value_check(rule, subject, holds, margin, std::move(words)));
  }

  /// Voltages of the nodes at full bass, engine running.
  std::vector<double> solve(const std::vector<ChannelLoad>& loads) const {
    const SinePowers powers = sine_powers(scene, loads, report);
    std::vector<double> bass_node_v;
    const std::size_t amplifiers = report.amplifier.size(), batteries = plan.batteries.size(),
                      cables = plan.cables.size();
    const std::size_t cases = load_cases;
    report.load_case.assign(std::begin(case_names), std::end(case_names));
    report.amplifier_a = report.amplifier_v = Table<double, 2>({cases, amplifiers});
    report.battery_a = Table<double, 2>({cases, batteries});
    report.battery_opens = Table<int, 2>({cases, batteries});
    report.cable_a = report.cable_drop_v = Table<double, 2>({cases, cables});
    const SupplyNodes nodes(plan, report.amplifier);
    const std::vector<double> copper_c = warmed(powers);
    std::vector<std::vector<const char*>> drop_out(plan.chargers.size());
    for (int number = 0; number < load_cases; ++number) {
      const auto of = static_cast<LoadCase>(number);
      SupplyCase now = supply_case(scene, report, powers, of);
      now.copper_c = copper_c;
      const SupplyNetwork network = supply_network(plan, report.amplifier, now);
      const ProtectedFlow flow = solve_protected_supply(network);
      const auto l = static_cast<std::size_t>(number);
      report.load_case_settled.push_back(flow.before.starved.empty() ? 1 : 0);
      for (int c : flow.before.starved) drop_out[static_cast<std::size_t>(c)].push_back(case_names[number]);
      for (std::size_t a = 0; a < amplifiers; ++a) {
        report.amplifier_a(l, a) = flow.before.load_a[a];
        report.amplifier_v(l, a) = flow.before.node_v[nodes.of(report.amplifier[a])];
      }
      for (std::size_t b = 0; b < batteries; ++b) report.battery_a(l, b) = flow.before.cell_a[b];
      for (int b : flow.opened) report.battery_opens(l, static_cast<std::size_t>(b)) = 1;
      for (std::size_t k = 0; k < cables; ++k) {
        report.cable_a(l, k) = flow.before.run_a[k];
        report.cable_drop_v(l, k) = std::abs(flow.before.run_a[k]) * network.runs[k].resistance_ohm;
      }
      if (of == LoadCase::bass_running) bass_node_v = flow.before.node_v;
      if (of == LoadCase::music_off) {
        const double hours = engine_off_hours(plan, flow.before.cell_a);
        report.playing_hours = std::isfinite(hours) ? hours : 0;
      }
    }
    starved(drop_out);
    return bass_node_v;
  }

  /// Chargers that their input holds back in some of the cases.
  void starved(const std::vector<std::vector<const char*>>& in_cases) const {
    for (std::size_t c = 0; c < plan.chargers.size(); ++c)
      if (!in_cases[c].empty())
        add(Rule::steady_state, plan.chargers[c].name, false, {},
            fmt::format("{}: too little voltage at its input with {}: it drops out, recovers and drops out "
                        "again; feed it through thicker cables, or take load off what it feeds",
                        plan.chargers[c].name, fmt::join(in_cases[c], "; with ")));
  }

  /// Copper of each cable with music for good, at the larger of its currents with the engine running and off.
  std::vector<double> warmed(const SinePowers& powers) const {
    std::vector<double> most_a(plan.cables.size(), 0.0), copper_c;
    for (LoadCase of : {LoadCase::music_running, LoadCase::music_off}) {
      const SupplyCase music = supply_case(scene, report, powers, of);
      const SupplyFlow flow = solve_supply(supply_network(plan, report.amplifier, music));
      for (std::size_t k = 0; k < most_a.size(); ++k)
        most_a[k] = std::max(most_a[k], std::abs(flow.run_a[k]));
    }
    for (std::size_t k = 0; k < plan.cables.size(); ++k) {
      const Conductor& conductor = plan.cables[k].run.conductor;
      const double hot_c = conductor_temperature_c(conductor, most_a[k], plan.ambient_c);
      report.cable_c.push_back(std::min(hot_c, 1000.0));
      copper_c.push_back(std::min(hot_c, insulation_limit_c));
    }
    return copper_c;
  }

  double music_a(std::size_t k) const {
    return std::max(std::abs(report.cable_a(at(LoadCase::music_running), k)),
                    std::abs(report.cable_a(at(LoadCase::music_off), k)));
  }

  /// What a fuse must carry: music for good, and full bass for as long as a fuse at its own rating holds.
  double fused_a(std::size_t k) const {
    const double bass_a = std::max(std::abs(report.cable_a(at(LoadCase::bass_running), k)),
                                   std::abs(report.cable_a(at(LoadCase::bass_off), k)));
    return std::max(music_a(k), fuse_continuous_part * bass_a);
  }

  void cables() const {
    const std::vector<CableReach> reach = fuse_reach(plan);
    for (std::size_t k = 0; k < plan.cables.size(); ++k) {
      const PlannedCable& cable = plan.cables[k];
      const std::string name = cable.from + " to " + cable.to;
      report.cable.push_back(name);
      const double bass_a = std::abs(report.cable_a(at(LoadCase::bass_running), k));
      const double drop_v = report.cable_drop_v(at(LoadCase::bass_running), k);
      for (const auto& [list, least] : {std::pair{&metric_conductors(), &report.cable_least_metric},
                                        {&gauge_conductors(), &report.cable_least_gauge}}) {
        const Conductor* found =
            least_conductor(*list, cable.run, bass_a, most_drop_part * running_v, plan.ambient_c);
        least->push_back(found == nullptr ? "" : found->name);
      }
      const double limit_a = conductor_current_limit_a(cable.run.conductor, plan.ambient_c);
      report.cable_limit_a.push_back(limit_a);
      report.cable_fuse_a.push_back(cable_fuse_a(fused_a(k), limit_a).value_or(0));
      add(Rule::voltage_drop, name, drop_v <= allowed_drop_v,
          Margin{allowed_drop_v - drop_v, MarginUnit::volt},
          fmt::format(
              "{}: drops {:.2f} V at {:.0f} A of full bass, at most {:.1f} V; {} or {} would hold 3 %", name,
              drop_v, bass_a, allowed_drop_v,
              report.cable_least_metric.back().empty() ? "no area" : report.cable_least_metric.back(),
              report.cable_least_gauge.back().empty() ? "no gauge" : report.cable_least_gauge.back()));
      add(Rule::cable_heat, name, report.cable_c[k] <= insulation_limit_c,
          Margin{insulation_limit_c - report.cable_c[k], MarginUnit::kelvin},
          fmt::format("{}: {} carries {:.0f} A of music for good at {:.0f} °C, {:.0f} °C at most", name,
                      cable.run.conductor.name, music_a(k), report.cable_c[k], insulation_limit_c));
      judge_fuses({cable, reach[k], limit_a, music_a(k), fused_a(k), report.cable_fuse_a[k]}, checks);
    }
  }

  void batteries() const {
    for (std::size_t b = 0; b < plan.batteries.size(); ++b) {
      const PlannedBattery& battery = plan.batteries[b];
      if (std::isfinite(battery.peak_a)) {
        double margin = 1e9, current_a = 0, limit_a = 0;
        std::string worst;
        for (LoadCase of :
             {LoadCase::music_running, LoadCase::music_off, LoadCase::bass_running, LoadCase::bass_off}) {
          const bool peak = of == LoadCase::bass_running || of == LoadCase::bass_off;
          if (of == LoadCase::bass_off && !(plan.alternator && plan.alternator->smart) && plan.alternator)
            continue;
          const double limit = peak ? battery.peak_a : battery.continuous_a,
                       asked = report.battery_a(at(of), b);
          if (limit - asked >= margin) continue;
          margin = limit - asked, current_a = asked, limit_a = limit;
          worst = case_names[at(of)];
        }
        add(Rule::protection, battery.name, margin >= 0, Margin{margin, MarginUnit::ampere},
            fmt::format("{}: {:.0f} A with {}, its protection circuit {} {:.0f} A{}", battery.name, current_a,
                        worst, margin >= 0 ? "lets pass" : "opens at", limit_a,
                        margin >= 0 ? "" : ": the sound stops, and what it fed sees a surge"));
      }
    }
  }

  /// All that drops between the best of the batteries that cables join to an amplifier and the amplifier.
  void whole_drop(const std::string& name, const SupplyNodes& nodes, const JoinedNodes& joined,
                  const std::vector<double>& bass_node_v) const {
    auto volts = [&](const std::string& node) {
      return bass_node_v[static_cast<std::size_t>(nodes.of(node))];
    };
    const PlannedBattery* best = nullptr;
    for (const PlannedBattery& battery : plan.batteries)
      if (joined.group(battery.name) == joined.group(name) &&
          (best == nullptr || volts(battery.name) > volts(best->name)))
        best = &battery;
    if (best == nullptr) return;
    const double drop_v = volts(best->name) - volts(name);
    add(Rule::voltage_drop, name, drop_v <= allowed_drop_v, Margin{allowed_drop_v - drop_v, MarginUnit::volt},
        fmt::format("{}: {:.2f} V of full bass drop on all the way from {}, at most {:.1f} V", name, drop_v,
                    best->name, allowed_drop_v));
  }

  void amplifiers(const std::vector<double>& bass_node_v) const {
    const SupplyNodes nodes(plan, report.amplifier);
    JoinedNodes joined;
    for (const PlannedCable& cable : plan.cables) joined.join(cable.from, cable.to);
    for (std::size_t a = 0; a < report.amplifier.size(); ++a) {
      const std::string& name = report.amplifier[a];
      if (!nodes.fed(nodes.of(name))) {
        add(Rule::cable, name, false, {},
            fmt::format("{}: no cable of supply leads to it: add cables: {{from: …, to: {}, …}}", name,
                        name));
        continue;
      }
      whole_drop(name, nodes, joined, bass_node_v);
      const bool dips = plan.alternator && plan.alternator->smart;
      const double least_v =
          std::min(report.amplifier_v(at(LoadCase::bass_running), a),
                   dips || !plan.alternator ? report.amplifier_v(at(LoadCase::bass_off), a) : 1e9);
      constexpr double off_below_v = 10.5;
      const bool by_charger = least_v < 1 && !plan.chargers.empty();
      add(Rule::supply_voltage, name, least_v >= off_below_v, Margin{least_v - off_below_v, MarginUnit::volt},
          fmt::format("{}: {:.1f} V at full bass{}, it needs {:.1f} V{}", name, least_v,
                      dips ? " with the alternator off for seconds" : "", off_below_v,
                      by_charger ? "; chargers rest while the alternator does" : ""));
    }
  }
};

}  // namespace

void judge_supply(const Scene& scene, const std::vector<ChannelLoad>& loads, SystemReport& report,
                  std::vector<Check>& checks) {
  if (!scene.system.supply || scene.system.supply->batteries.empty()) return;
  const SupplyPlan& plan = *scene.system.supply;
  for (const PlannedBattery& battery : plan.batteries) report.battery.push_back(battery.name);
  const Judge judge{scene, plan, report, checks};
  if (plan.parked_drain_a)
    judge.add(Rule::parked_drain, "supply", *plan.parked_drain_a <= most_parked_a + 1e-12,
              Margin{most_parked_a - *plan.parked_drain_a, MarginUnit::ampere},
              fmt::format("supply: {:.0f} mA parked, {:.0f} mA at most", *plan.parked_drain_a * 1000,
                          most_parked_a * 1000));
  const std::vector<double> bass_node_v = judge.solve(loads);
  judge.cables();
  judge.batteries();
  judge_charging(plan, report, checks);
  judge.amplifiers(bass_node_v);
}

}  // namespace cabinfield
