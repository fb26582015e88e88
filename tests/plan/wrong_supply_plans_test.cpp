// Supply plans that hurt a battery, run it down or never work: three sound plans, and one change to each that
// must not pass. Limits of chemistries as in system/battery.h.
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "support/judged_plan.h"

namespace cabinfield::test {
namespace {

const std::string played =
    "amplifiers: {amp: {model: mono_600}, front: {model: four_channel_90}}\n"
    "drivers:\n"
    "  sub: {model: sub_300_dual, position: [2, 0, 0.3], loading: {sealed: 30 L}}\n"
    "  mid: {model: midbass_165, position: [0.5, -0.6, 0.3], loading: {sealed: 8 L}}\n"
    "channels:\n"
    "  bass: {drives: [sub], wiring: {coils: series}, highpass: {frequency: 25 Hz}, lowpass: {frequency: 80 "
    "Hz}, amplifier: {unit: amp, channel: 1}}\n"
    "  left: {drives: [mid], highpass: {frequency: 80 Hz}, amplifier: {unit: front, channel: 1}}\n";

/// One battery, which the alternator charges.
const std::string one_battery =
    played +
    "supply:\n"
    "  alternator: {rated: 150 A, voltage: 14.2 V}\n"
    "  batteries: {start: {chemistry: agm, capacity: 70 Ah, fixed: yes}}\n"
    "  cables:\n"
    "    - {from: start, to: amp, area: 35 mm2, length: 1 m, fuse_start: 100 A}\n"
    "    - {from: start, to: front, area: 35 mm2, length: 1 m, fuse_start: 100 A}\n";

/// A second one behind a charger feeds the amplifiers.
const std::string two_batteries =
    played +
    "supply:\n"
    "  alternator: {rated: 150 A, voltage: 14.2 V}\n"
    "  batteries:\n"
    "    start: {chemistry: agm, capacity: 70 Ah, fixed: yes}\n"
    "    second: {chemistry: lifepo4, capacity: 50 Ah, continuous_current: 100 A, peak_current: 200 A, "
    "charges_when_cold: yes, fixed: yes}\n"
    "  chargers: {dc: {from: start, to: second, current: 30 A, voltage: 14.4 V}}\n"
    "  cables:\n"
    "    - {from: second, to: amp, area: 35 mm2, length: 1 m, fuse_start: 100 A}\n"
    "    - {from: second, to: front, area: 35 mm2, length: 1 m, fuse_start: 100 A}\n";

/// The amplifier of the bass on a bus that a charger alone feeds.
const std::string bus = played +
                        "supply:\n"
                        "  alternator: {rated: 150 A, voltage: 14.2 V}\n"
                        "  batteries: {start: {chemistry: agm, capacity: 70 Ah, fixed: yes}}\n"
                        "  junctions: [inlet, bus]\n"
                        "  chargers: {dc: {from: inlet, to: bus, current: 60 A, voltage: 14.4 V}}\n"
                        "  cables:\n"
                        "    - {from: start, to: inlet, area: 35 mm2, length: 2 m, fuse_start: 100 A}\n"
                        "    - {from: bus, to: amp, area: 35 mm2, length: 1 m, fuse_start: 100 A}\n"
                        "    - {from: start, to: front, area: 35 mm2, length: 1 m, fuse_start: 100 A}\n";

struct Change {
  std::string from, to;
};
struct WrongPlan {
  const char* what;
  const std::string& sound;
  std::vector<Change> changes;
  Broken broken;  ///< all of it, and nothing else
};

std::string changed(std::string text, const std::vector<Change>& changes) {
  for (const Change& change : changes) {
    const std::size_t at = text.find(change.from);
    EXPECT_NE(at, std::string::npos) << change.from;
    if (at != std::string::npos) text.replace(at, change.from.size(), change.to);
  }
  return text;
}

const Change agm_second{
    "chemistry: lifepo4, capacity: 50 Ah, continuous_current: 100 A, peak_current: 200 A, "
    "charges_when_cold: yes",
    "chemistry: agm, capacity: 70 Ah, vented: yes"};
Change chemistry(const char* to) { return {"chemistry: agm, capacity: 70 Ah", to}; }
Change second(const char* to) {
  return {
      "chemistry: lifepo4, capacity: 50 Ah, continuous_current: 100 A, peak_current: 200 A, "
      "charges_when_cold: yes",
      to};
}
Change alternator(const char* to) { return {"rated: 150 A, voltage: 14.2 V", to}; }
Change charger(const char* to) { return {"current: 30 A, voltage: 14.4 V", to}; }

std::vector<WrongPlan> wrong_plans() {
  const Change no_charger{"  chargers: {dc: {from: start, to: second, current: 30 A, voltage: 14.4 V}}\n",
                          ""};
  const char* const and_joined =
      "    - {from: second, to: front, area: 35 mm2, length: 1 m, fuse_start: 100 A}\n";
  const std::string joined = std::string(and_joined) +
                             "    - {from: start, to: second, area: 35 mm2, length: 2 m, fuse_start: 100 A, "
                             "fuse_end: 100 A}\n";
  return {
      // The alternator carries the car, the music and its chargers.
      {"an alternator for the car alone",
       one_battery,
       {alternator("rated: 42 A, voltage: 14.2 V")},
       {{"alternator", "alternator"}}},
      {"an alternator below what the car takes",
       one_battery,
       {alternator("rated: 35 A, voltage: 14.2 V")},
       {{"alternator", "alternator"}}},
      {"a car that takes all",
       one_battery,
       {alternator("rated: 150 A, voltage: 14.2 V, car_load: 148 A")},
       {{"alternator", "alternator"}}},
      {"a charger that takes the rest",
       two_batteries,
       {alternator("rated: 70 A, voltage: 14.2 V")},
       {{"alternator", "alternator"}}},
      {"a wasteful charger",
       two_batteries,
       {alternator("rated: 90 A, voltage: 14.2 V"),
        charger("current: 30 A, voltage: 14.4 V, efficiency: 50 %")},
       {{"alternator", "alternator"}}},
      {"two chargers",
       two_batteries,
       {alternator("rated: 80 A, voltage: 14.2 V"),
        charger("current: 20 A}, too: {from: start, to: second, current: 20 A")},
       {{"alternator", "alternator"}}},
      {"a small alternator behind a cable of its own",
       one_battery,
       {alternator("rated: 42 A, voltage: 14.2 V"),
        {"  cables:\n",
         "  cables:\n    - {from: alternator, to: start, area: 35 mm2, length: 1 m, fuse_end: 125 A}\n"}},
       {{"alternator", "alternator"}}},
      {"a smart alternator that is small",
       one_battery,
       {alternator("rated: 43 A, smart: yes")},
       {{"alternator", "alternator"}}},
      {"a bus that takes more than there is",
       bus,
       {alternator("rated: 85 A, voltage: 14.2 V")},
       {{"alternator", "alternator"}}},
      {"a charger of a heavy car",
       two_batteries,
       {alternator("rated: 110 A, voltage: 14.2 V, car_load: 85 A")},
       {{"alternator", "alternator"}}},

      // Charging voltage by chemistry.
      {"too much for glass mat",
       one_battery,
       {alternator("rated: 150 A, voltage: 14.9 V")},
       {{"charge voltage", "start"}}},
      {"too much for wet lead",
       one_battery,
       {alternator("rated: 150 A, voltage: 15 V"), chemistry("chemistry: lead, capacity: 70 Ah")},
       {{"charge voltage", "start"}, {"charge current", "start"}}},
      {"too much for gel",
       one_battery,
       {alternator("rated: 150 A, voltage: 14.6 V"), chemistry("chemistry: gel, capacity: 70 Ah")},
       {{"charge voltage", "start"}, {"charge current", "start"}}},
      {"a smart alternator that goes too high",
       one_battery,
       {alternator("rated: 150 A, voltage: 15 V, smart: yes")},
       {{"charge voltage", "start"}}},
      {"a charger for lead on lithium",
       two_batteries,
       {charger("current: 30 A, voltage: 14.8 V")},
       {{"charge voltage", "second"}}},
      {"a tenth of a volt too much on lithium",
       two_batteries,
       {charger("current: 30 A, voltage: 14.7 V")},
       {{"charge voltage", "second"}}},
      {"an equalising charger on glass mat",
       two_batteries,
       {agm_second, charger("current: 15 A, voltage: 15.5 V")},
       {{"charge voltage", "second"}}},
      {"a charger for glass mat on gel",
       two_batteries,
       {second("chemistry: gel, capacity: 100 Ah, vented: yes"), charger("current: 15 A, voltage: 14.7 V")},
       {{"charge voltage", "second"}}},
      {"a battery that says less",
       one_battery,
       {chemistry("chemistry: agm, capacity: 70 Ah, charge_voltage: 14.1 V")},
       {{"charge voltage", "start"}}},
      {"a lithium battery that says less",
       two_batteries,
       {second("chemistry: lifepo4, capacity: 50 Ah, charge_voltage: 14.2 V, charges_when_cold: yes")},
       {{"charge voltage", "second"}}},
      {"the model of a lithium battery",
       two_batteries,
       {second("model: lifepo4_50"), charger("current: 30 A, voltage: 14.7 V")},
       {{"charge voltage", "second"}}},
      {"an alternator that never fills",
       one_battery,
       {alternator("rated: 150 A, voltage: 13.2 V")},
       {{"charge voltage", "start"}}},
      {"an alternator below the battery",
       one_battery,
       {alternator("rated: 150 A, voltage: 12.5 V")},
       {{"charge voltage", "start"}}},
      {"a charger that never fills lead",
       two_batteries,
       {agm_second, charger("current: 15 A, voltage: 13.2 V")},
       {{"charge voltage", "second"}}},
      {"a charger that never fills lithium",
       two_batteries,
       {charger("current: 30 A, voltage: 13.1 V")},
       {{"charge voltage", "second"}}},
      {"a charger below what its battery rests at",
       two_batteries,
       {second("chemistry: lifepo4, capacity: 50 Ah, rest_voltage: 13.6 V, charges_when_cold: yes"),
        charger("current: 30 A, voltage: 13.5 V")},
       {{"charge voltage", "second"}}},
      {"one of two chargers",
       two_batteries,
       {charger("current: 15 A}, too: {from: start, to: second, current: 15 A, voltage: 15 V")},
       {{"charge voltage", "second"}}},
      {"over a junction",
       bus,
       {{"start: {chemistry: agm, capacity: 70 Ah, fixed: yes}",
         "start: {chemistry: agm, capacity: 70 Ah, fixed: yes}, second: {chemistry: lifepo4, capacity: 60 "
         "Ah, charges_when_cold: yes, fixed: yes}"},
        {"voltage: 14.4 V", "voltage: 14.8 V"},
        {"    - {from: bus, to: amp",
         "    - {from: second, to: bus, area: 35 mm2, length: 0.5 m, fuse_start: 100 A}\n    - {from: bus, "
         "to: amp"}},
       {{"charge voltage", "second"}}},

      // Charging current by chemistry.
      {"more than once its capacity an hour",
       two_batteries,
       {charger("current: 60 A, voltage: 14.4 V")},
       {{"charge current", "second"}}},
      {"a big charger on glass mat", two_batteries, {agm_second}, {{"charge current", "second"}}},
      {"a big charger on gel",
       two_batteries,
       {second("chemistry: gel, capacity: 80 Ah, vented: yes"), charger("current: 20 A, voltage: 14.2 V")},
       {{"charge current", "second"}}},
      {"a big charger on wet lead",
       two_batteries,
       {second("chemistry: lead, capacity: 100 Ah, vented: yes")},
       {{"charge current", "second"}}},
      {"two chargers on one battery",
       two_batteries,
       {charger("current: 30 A}, too: {from: start, to: second, current: 30 A")},
       {{"charge current", "second"}}},
      {"a battery that says less current",
       two_batteries,
       {second("chemistry: lifepo4, capacity: 50 Ah, charge_current: 20 A, charges_when_cold: yes")},
       {{"charge current", "second"}}},
      {"a small lithium battery",
       two_batteries,
       {second("chemistry: lifepo4, capacity: 20 Ah, charges_when_cold: yes")},
       {{"charge current", "second"}}},
      {"the model's current",
       two_batteries,
       {second("model: agm_70, vented: yes")},
       {{"charge current", "second"}}},
      {"two batteries that share one charger",
       two_batteries,
       {{"    second: {",
         "    third: {chemistry: agm, capacity: 30 Ah, vented: yes, fixed: yes}\n    second: {"},
        second("chemistry: agm, capacity: 40 Ah, vented: yes"),
        {"  cables:\n",
         "  cables:\n    - {from: second, to: third, area: 35 mm2, length: 0.5 m, fuse_start: 100 A, "
         "fuse_end: 100 A}\n"}},
       {{"charge current", "second"}, {"charge current", "third"}}},
      {"over a junction, too much current",
       bus,
       {{"start: {chemistry: agm, capacity: 70 Ah, fixed: yes}",
         "start: {chemistry: agm, capacity: 70 Ah, fixed: yes}, second: {chemistry: lifepo4, capacity: 40 "
         "Ah, charges_when_cold: yes, fixed: yes}"},
        {"    - {from: bus, to: amp",
         "    - {from: second, to: bus, area: 35 mm2, length: 0.5 m, fuse_start: 100 A}\n    - {from: bus, "
         "to: amp"}},
       {{"charge current", "second"}}},
      {"lithium straight on the alternator",
       one_battery,
       {chemistry("chemistry: lifepo4, capacity: 50 Ah, charges_when_cold: yes")},
       {{"charge current", "start"}}},
      {"lithium on a smart alternator",
       one_battery,
       {chemistry("chemistry: lifepo4, capacity: 50 Ah, charges_when_cold: yes"),
        alternator("rated: 150 A, smart: yes")},
       {{"charge current", "start"}}},
      {"lithium on a large alternator over a cable",
       two_batteries,
       {{"start: {chemistry: agm, capacity: 70 Ah,",
         "start: {chemistry: lifepo4, capacity: 60 Ah, charges_when_cold: yes,"},
        no_charger,
        {and_joined, joined}},
       {{"charge current", "start"}}},

      // Nothing charges it.
      {"a second battery that nothing charges", two_batteries, {no_charger}, {{"charging", "second"}}},
      {"a charger the wrong way round",
       two_batteries,
       {{"from: start, to: second", "from: second, to: start"}, charger("current: 15 A, voltage: 14.4 V")},
       {{"charging", "second"}}},
      {"a charger that ends beside the battery",
       two_batteries,
       {{"  chargers:", "  junctions: [shelf]\n  chargers:"}, {"to: second, current", "to: shelf, current"}},
       {{"charging", "second"}}},
      {"a battery for nothing",
       one_battery,
       {{"fixed: yes}}", "fixed: yes}, spare: {chemistry: agm, capacity: 40 Ah, vented: yes, fixed: yes}}"}},
       {{"charging", "spare"}}},

      // What does not come to rest, and what comes to rest too low.
      {"a charger that drops out over and over",
       bus,
       {{"area: 35 mm2, length: 2 m, fuse_start: 100 A", "area: 2.5 mm2, length: 18 m, fuse_start: 30 A"},
        {"current: 60 A", "current: 40 A"}},
       {{"steady state", "dc"}, {"supply voltage", "amp"}, {"voltage drop", "start to inlet"}}},
      {"a bus that needs more than its charger gives",
       bus,
       {{"current: 60 A", "current: 15 A"}},
       {{"supply voltage", "amp"}}},
      {"a smart alternator behind the only charger",
       bus,
       {alternator("rated: 150 A, smart: yes")},
       {{"supply voltage", "amp"}}},
      {"a charger without an alternator",
       bus,
       {{"  alternator: {rated: 150 A, voltage: 14.2 V}\n", ""}},
       {{"supply voltage", "amp"}}},
      {"a battery for a motorcycle",
       one_battery,
       {alternator("rated: 150 A, smart: yes"), chemistry("chemistry: lead, capacity: 3 Ah")},
       {{"supply voltage", "amp"}, {"supply voltage", "front"}}},
      {"no cable",
       one_battery,
       {{"    - {from: start, to: amp, area: 35 mm2, length: 1 m, fuse_start: 100 A}\n", ""}},
       {{"cable", "amp"}}},
      {"a protection circuit that opens",
       two_batteries,
       {second("chemistry: lifepo4, capacity: 50 Ah, continuous_current: 3 A, peak_current: 4 A, "
               "charges_when_cold: yes")},
       {{"protection", "second"}}},
  };
}

TEST(WrongSupplyPlans, TheSoundOnesHold) {
  for (const std::string* sound : {&one_battery, &two_batteries, &bus})
    EXPECT_EQ(broken(checks_of(*sound)), Broken{}) << *sound;
}

TEST(WrongSupplyPlans, NonePasses) {
  const auto plans = wrong_plans();
  EXPECT_GE(plans.size(), 50U);
  for (const WrongPlan& plan : plans)
    EXPECT_EQ(broken(checks_of(changed(plan.sound, plan.changes))), plan.broken) << plan.what;
}

}  // namespace
}  // namespace cabinfield::test
