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
