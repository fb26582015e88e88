#include "system/supply_case.h"

#include <gtest/gtest.h>

#include <cmath>

namespace cabinfield {
namespace {

SupplyPlan plan() {
  SupplyPlan supply;
  PlannedBattery start, second;
  static_cast<Battery&>(start) = battery_of(Chemistry::agm, 70);
  static_cast<Battery&>(second) = battery_of(Chemistry::lifepo4, 50);
  start.name = "start";
  second.name = "second";
  second.continuous_a = 100;
  second.peak_a = 200;
  supply.batteries = {start, second};
  supply.alternator = {120, false, 14.2};
  supply.cables = {{"second", "amp", {metric_conductor(25e-6), 1.0}, 60, {}}};
  supply.chargers = {{"charger", "start", "second", 30, 14.4, 0.9}};
  return supply;
}

TEST(SupplyCase, JoinsWhatThePlanJoins) {
  const SupplyNetwork network = supply_network(plan(), {"amp", "loose"}, {.draw_w = {500, 300}});
  EXPECT_EQ(network.nodes, 4);
  ASSERT_EQ(network.runs.size(), 1U);
  EXPECT_NEAR(network.runs[0].resistance_ohm, 2 * 0.78e-3 * copper_ratio(40) + 4 * connection_resistance_ohm,
              1e-12);
  ASSERT_EQ(network.loads.size(), 2U);
  EXPECT_EQ(network.loads[0].power_w, 500);
  EXPECT_EQ(network.loads[1].power_w, 0) << "no cable leads to it";
  ASSERT_EQ(network.alternators.size(), 1U);
  EXPECT_EQ(network.alternators[0].node, 0) << "where the car's own cable has it";
  EXPECT_EQ(network.chargers.size(), 1U);
  EXPECT_EQ(network.cells[1].discharge_limit_a, 100);
}

TEST(SupplyCase, WhatTheAlternatorOrAChargerReachesIsFed) {
  SupplyPlan supply = plan();
  supply.junctions = {"bus", "rear", "behind"};
  const CableRun run{metric_conductor(25e-6), 1.0};
  supply.cables = {{"alternator", "rear", run, {}, {}}, {"bus", "amp", run, {}, {}}};
  supply.chargers = {{"dc", "start", "bus", 30, 14.4, 0.9}, {"on", "bus", "behind", 10, 14.4, 0.9}};
  const SupplyNodes nodes(supply, {"amp"});
  for (const char* name : {"alternator", "rear", "bus", "amp", "behind"})
    EXPECT_TRUE(nodes.fed(nodes.of(name))) << name;
  EXPECT_EQ(supply_network(supply, {"amp"}, {.draw_w = {300}}).loads[0].power_w, 300);
  EXPECT_NEAR(solve_supply(supply_network(supply, {"amp"}, {.draw_w = {300}})).taken_w, 300, 1e-6);
  // No way back through a charger, and an alternator that is not there feeds nothing.
  supply.chargers = {{"dc", "bus", "start", 30, 14.4, 0.9}};
  supply.alternator.reset();
  const SupplyNodes dead(supply, {"amp"});
  for (const char* name : {"alternator", "rear", "bus", "amp"}) EXPECT_FALSE(dead.fed(dead.of(name))) << name;
}

TEST(SupplyCase, WithoutTheAlternatorChargersRestAndPeaksMayBeHigher) {
  const SupplyNetwork network =
      supply_network(plan(), {"amp"}, {.draw_w = {500}, .alternator = false, .peak = true});
  EXPECT_TRUE(network.alternators.empty());
  EXPECT_TRUE(network.chargers.empty());
  EXPECT_EQ(network.cells[1].discharge_limit_a, 200);
}

TEST(SupplyCase, TheFirstBatteryThatIsDownEndsThePlaying) {
  const SupplyPlan supply = plan();
  const double lead = playing_hours(supply.batteries[0], 10), lithium = playing_hours(supply.batteries[1], 5);
  EXPECT_LT(lead, lithium);
  EXPECT_EQ(engine_off_hours(supply, {10, 5}), lead);
  EXPECT_EQ(engine_off_hours(supply, {-4, 5}), lithium);
  EXPECT_TRUE(std::isinf(engine_off_hours(supply, {0, 0})));
}

}  // namespace
}  // namespace cabinfield
