// Whether the alternator carries the car, the music and its chargers, and whether batteries are charged as
// their chemistry allows.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "plan/judge_system.h"
#include "system/joined_nodes.h"
#include "system/supply_case.h"

namespace cabinfield {
namespace {

/// What an alternator gives with the engine idling, of its rating: 35 to 60 % (common practice, no source).
constexpr double idle_part = 0.5;
/// Voltages and currents as typed are not exact in binary.
constexpr double rounding = 1e-9;

class Charging {
 public:
  Charging(const SupplyPlan& plan, const SystemReport& report, std::vector<Check>& checks)
      : plan_(plan), report_(report), checks_(checks) {
    bool drawn = false;
    for (const PlannedCable& cable : plan.cables) {
      joined_.join(cable.from, cable.to);
      drawn = drawn || cable.from == "alternator" || cable.to == "alternator";
    }
    alternator_at_ = drawn ? "alternator" : plan.batteries.front().name;
  }

  /// All that it must carry for hours: chargers may have an empty battery before them.
  void alternator() const {
    if (!plan_.alternator) return;
    const PlannedAlternator& alternator = *plan_.alternator;
    const auto music = static_cast<std::size_t>(LoadCase::music_running);
    double music_w = 0, chargers_w = 0;
    for (std::size_t a = 0; a < report_.amplifier.size(); ++a)
      if (by_alternator(report_.amplifier[a]))
        music_w += report_.amplifier_a(music, a) * report_.amplifier_v(music, a);
    for (std::size_t k = 0; k < plan_.cables.size(); ++k)
      if (by_alternator(plan_.cables[k].from))
        music_w += std::abs(report_.cable_a(music, k)) * report_.cable_drop_v(music, k);
    for (const PlannedCharger& charger : plan_.chargers)
      if (by_alternator(charger.from))
        chargers_w += charger.current_a * charger.voltage_v / charger.efficiency;
    const double music_a = music_w / alternator.voltage_v, chargers_a = chargers_w / alternator.voltage_v;
    const double asked_a = alternator.car_a + music_a + chargers_a, left_a = alternator.rated_a - asked_a;
    std::string words =
        fmt::format("alternator: the car takes {:.0f} A, music {:.0f} A", alternator.car_a, music_a);
    if (chargers_a > 0) words += fmt::format(", chargers up to {:.0f} A", chargers_a);
    words +=
        fmt::format("; together {:.0f} A of the {:.0f} A that it is rated for", asked_a, alternator.rated_a);
    const bool idles = asked_a <= idle_part * alternator.rated_a + rounding;
    if (left_a < -rounding)
      words += ": the batteries run down while driving";
    else if (!idles)
      words += fmt::format(", and about {:.0f} A with the engine idling: the batteries run down in a jam",
                           idle_part * alternator.rated_a);
    Check check = value_check(Rule::alternator, "alternator", left_a >= -rounding,
                              Margin{left_a, MarginUnit::ampere}, std::move(words));
    if (check.outcome == Outcome::met && !idles) check.outcome = Outcome::caution;
    checks_.push_back(std::move(check));
  }

  void battery(std::size_t b) const {
    const PlannedBattery& battery = plan_.batteries[b];
    const bool alternator = plan_.alternator && by_alternator(battery.name);
    std::vector<const PlannedCharger*> chargers;
    for (const PlannedCharger& charger : plan_.chargers)
      if (joined_.joined(charger.to, battery.name)) chargers.push_back(&charger);
    if (plan_.alternator && !alternator && chargers.empty()) {
      checks_.push_back(value_check(
          Rule::charging, battery.name, false, {},
          fmt::format("{}: nothing charges it: no cable joins it with the alternator, no charger feeds it",
                      battery.name)));
      return;
    }
    current(b, chargers);
    voltage(battery, chargers, alternator);
  }

 private:
  bool by_alternator(const std::string& node) const { return joined_.joined(node, alternator_at_); }
  void add(Rule rule, const PlannedBattery& battery, Margin margin, std::string words) const {
    checks_.push_back(value_check(rule, battery.name, margin.value >= -rounding, margin, std::move(words)));
  }

  /// Its share of what chargers give to all batteries that cables join with it.
  double of_chargers_a(const PlannedBattery& battery,
                       const std::vector<const PlannedCharger*>& chargers) const {
    double given_a = 0, taken_a = 0;
    for (const PlannedCharger* charger : chargers) given_a += charger->current_a;
    for (const PlannedBattery& other : plan_.batteries)
      if (joined_.joined(other.name, battery.name)) taken_a += other.charge_a;
    return given_a * battery.charge_a / taken_a;
  }

  /// Straight from the alternator, without music. Nearly empty lithium cells take what their resistance
  /// lets them; lead limits its own current.
  double of_alternator_a(std::size_t b) const {
    SupplyCase quiet;
    quiet.draw_w.assign(report_.amplifier.size(), 0.0);
    SupplyNetwork network = supply_network(plan_, report_.amplifier, quiet);
    network.chargers.clear();
    for (std::size_t c = 0; c < plan_.batteries.size(); ++c) {
      const ChemistryHabits& habits = habits_of(plan_.batteries[c].chemistry);
      if (habits.lead) continue;
      network.cells[c].emf_v = std::min(habits.empty_v, plan_.batteries[c].rest_v);
      network.cells[c].charge_resistance_ohm = network.cells[c].resistance_ohm;
    }
    return -solve_supply(network).cell_a[b];
  }

  void current(std::size_t b, const std::vector<const PlannedCharger*>& chargers) const {
    const PlannedBattery& battery = plan_.batteries[b];
    if (!(battery.charge_a > 0)) return;
    double most_a = -report_.battery_a(static_cast<std::size_t>(LoadCase::music_running), b);
    std::string source = "while music plays", advice = "take a charger of less current";
    auto look = [&](double charge_a, const char* by, std::string so) {
      if (charge_a <= most_a) return;
      most_a = charge_a, source = by, advice = std::move(so);
    };
    if (!chargers.empty())
      look(of_chargers_a(battery, chargers), "by its charger when empty",
           fmt::format("set the charger to {:.0f} A", std::floor(battery.charge_a)));
    if (plan_.alternator && by_alternator(battery.name) && !habits_of(battery.chemistry).lead)
      look(of_alternator_a(b), "by the alternator when empty",
           "put a DC-to-DC charger between it and the alternator");
    if (!(most_a > 0)) return;
    const double left_a = battery.charge_a - most_a;
    add(Rule::charge_current, battery, {left_a, MarginUnit::ampere},
        fmt::format("{}: charged with {:.0f} A {}, {:.0f} A at most{}", battery.name, most_a, source,
                    battery.charge_a, left_a >= -rounding ? "" : ": " + advice));
  }

  void voltage(const PlannedBattery& battery, const std::vector<const PlannedCharger*>& chargers,
               bool alternator) const {
    if (!(battery.charge_v > 0)) return;
    const double least_v = std::max(habits_of(battery.chemistry).float_v, battery.rest_v);
    double margin_v = std::numeric_limits<double>::infinity();
    std::string words;
    auto look = [&](const std::string& source, double source_v, bool varies) {
      const double over_v = battery.charge_v - source_v, under_v = source_v - least_v;
      const double left_v = varies ? over_v : std::min(over_v, under_v);
      if (left_v >= margin_v) return;
      margin_v = left_v;
      words = fmt::format("{}: {} charges it with {:g} V, at most {:g} V{}", battery.name, source, source_v,
                          battery.charge_v, over_v < -rounding ? ": too much for its cells" : "");
      if (left_v < over_v && left_v < -rounding)
        words =
            fmt::format("{}: {} charges it with {:g} V, at least {:g} V: it never gets full, which ages it",
                        battery.name, source, source_v, least_v);
    };
    if (alternator) look("the alternator", plan_.alternator->voltage_v, plan_.alternator->smart);
    for (const PlannedCharger* charger : chargers) look(charger->name, charger->voltage_v, false);
    if (std::isfinite(margin_v))
      add(Rule::charge_voltage, battery, {margin_v, MarginUnit::volt}, std::move(words));
  }

  const SupplyPlan& plan_;
  const SystemReport& report_;
  std::vector<Check>& checks_;
  JoinedNodes joined_;
  std::string alternator_at_;
};

}  // namespace

void judge_charging(const SupplyPlan& plan, const SystemReport& report, std::vector<Check>& checks) {
  const Charging charging(plan, report, checks);
  charging.alternator();
  for (std::size_t b = 0; b < plan.batteries.size(); ++b) charging.battery(b);
}

}  // namespace cabinfield
