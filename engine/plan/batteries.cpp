// Batteries beside each other and in the cabin: chemistries in parallel, gas, mounting; leads of chargers
// that the plan does not show. The first battery is the car's own and under the bonnet, unless it has a
// position.
#include <fmt/format.h>

#include <map>

#include "plan/judge_system.h"
#include "system/joined_nodes.h"

namespace cabinfield {
namespace {

bool gives_off_gas(const PlannedBattery& battery) { return battery.chemistry != Chemistry::lifepo4; }

/// Batteries that cables join, over whatever node, are in parallel. A charger between them isolates them.
void unlike_in_parallel(const SupplyPlan& plan, std::vector<Check>& checks) {
  JoinedNodes joined;
  for (const PlannedCable& cable : plan.cables) joined.join(cable.from, cable.to);
  std::map<std::string, std::vector<const PlannedBattery*>> groups;
  for (const PlannedBattery& battery : plan.batteries) groups[joined.group(battery.name)].push_back(&battery);
  for (const auto& [group, members] : groups) {
    std::vector<std::string> names;
    bool lead = false, lithium = false;
    for (const PlannedBattery* battery : members) {
      names.push_back(battery->name);
      (habits_of(battery->chemistry).lead ? lead : lithium) = true;
    }
    if (lead && lithium)
      checks.push_back(value_check(
          Rule::parallel_batteries, names.back(), false, {},
          fmt::format(
              "{}: batteries of unlike chemistries in parallel overcharge and discharge each other: put "
              "a DC-to-DC charger between them",
              fmt::join(names, " and "))));
  }
}

void judge_place(const PlannedBattery& battery, bool first, std::vector<Check>& checks) {
  const bool beside_people = battery.in_cabin || !first;
  auto judge = [&](Rule rule, const std::optional<bool>& stated, const char* right, const char* wrong,
                   const char* unknown) {
    if (stated == std::optional(true)) {
      checks.push_back(value_check(rule, battery.name, true, {}, fmt::format("{}: {}", battery.name, right)));
    } else if (stated == std::optional(false)) {
      checks.push_back(
          value_check(rule, battery.name, false, {}, fmt::format("{}: {}", battery.name, wrong)));
    } else if (beside_people) {
      Check check = value_check(rule, battery.name, !battery.in_cabin, {},
                                fmt::format("{}: {}", battery.name, unknown));
      if (check.outcome == Outcome::met) check.outcome = Outcome::caution;
      checks.push_back(std::move(check));
    }
  };
  if (gives_off_gas(battery) && beside_people)
    judge(Rule::battery_vent, battery.vented, "its gas is led outside",
          "a lead battery in the cabin gives off explosive gas: lead it outside with a vent hose",
          "no vent is given: a lead battery gives off explosive gas; lead it outside with a hose, then state "
          "vented: yes");
  judge(Rule::battery_mounting, battery.fixed, "it is held down",
        "a loose battery is a projectile in a crash and a short circuit: bolt its tray to the body",
        "no mounting is given: a loose battery is a projectile in a crash and a short circuit; bolt its tray "
        "to "
        "the body, then state fixed: yes");
}

/// A charger joined straight to a battery has leads that no cable of the plan shows.
void charger_leads(const SupplyPlan& plan, std::vector<Check>& checks) {
  for (const PlannedCharger& charger : plan.chargers) {
    std::vector<std::string> at;
    for (const PlannedBattery& battery : plan.batteries)
      if (battery.name == charger.from || battery.name == charger.to) at.push_back(battery.name);
    if (!at.empty())
      checks.push_back({Rule::charger_leads,
                        charger.name,
                        Outcome::caution,
                        {},
                        fmt::format("{}: its leads to {} are not in the plan: fuse each within 450 mm of the "
                                    "battery, or draw it as a cable from the battery to a junction",
                                    charger.name, fmt::join(at, " and "))});
  }
}

}  // namespace

void judge_batteries(const Scene& scene, std::vector<Check>& checks) {
  if (!scene.system.supply) return;
  const SupplyPlan& plan = *scene.system.supply;
  unlike_in_parallel(plan, checks);
  for (const PlannedBattery& battery : plan.batteries)
    judge_place(battery, &battery == &plan.batteries.front(), checks);
  charger_leads(plan, checks);
}

}  // namespace cabinfield
