// What feeds a short at each end of a cable: small plans drawn by hand, answers read off them.
#include "system/fuse_reach.h"

#include <gtest/gtest.h>

#include <cmath>

namespace cabinfield {
namespace {

PlannedCable cable(const char* from, const char* to, std::optional<double> fuse_start_a = {},
                   std::optional<double> fuse_end_a = {}) {
  return {from, to, {metric_conductor(16e-6), 1.0}, fuse_start_a, fuse_end_a};
}

SupplyPlan plan(std::vector<PlannedCable> cables) {
  SupplyPlan supply;
  supply.batteries.resize(2);
  supply.batteries[0].name = "start";
  supply.batteries[1].name = "second";
  supply.junctions = {"bus", "rear"};
  supply.cables = std::move(cables);
  return supply;
}

TEST(FuseReach, IsOfTheFuseThatLetsMostThroughOnTheWay) {
  const auto reach = fuse_reach(plan({cable("start", "bus", 200), cable("bus", "rear", 80, 60),
                                      cable("rear", "amp"), cable("rear", "other", 30)}));
  EXPECT_TRUE(std::isinf(reach[0].start_a)) << "a battery ends nothing";
  EXPECT_EQ(reach[0].end_a, 0) << "only the cable itself feeds the bus";
  EXPECT_EQ(reach[1].start_a, 200);
  EXPECT_EQ(reach[2].start_a, 60);
  EXPECT_EQ(reach[2].end_a, 0);
  EXPECT_EQ(reach[3].start_a, 60) << "its own fuse comes after";
}

TEST(FuseReach, FusesOfTwoPathsAddUp) {
  const auto reach =
      fuse_reach(plan({cable("start", "bus", 60), cable("bus", "second", 40, 100), cable("bus", "amp", 30)}));
  EXPECT_EQ(reach[0].end_a, 40);
  EXPECT_EQ(reach[1].start_a, 60);
  EXPECT_EQ(reach[2].start_a, 100);
}

TEST(FuseReach, ParallelCablesAddUpAndAFuseBehindThemLimitsTheSum) {
  const auto reach =
      fuse_reach(plan({cable("start", "bus", 60), cable("start", "bus", 80), cable("start", "bus", 40, 30),
                       cable("bus", "rear", 100), cable("rear", "amp")}));
  EXPECT_EQ(reach[3].start_a, 60 + 80 + 30);
  EXPECT_EQ(reach[4].start_a, 100);
  EXPECT_EQ(reach[0].end_a, 80 + 30);
}

TEST(FuseReach, APathThatTurnsBackDoesNotAddUp) {
  // start -60- bus -50- rear -40- second: 60 A reach the bus directly and 40 A over the rear.
  const auto reach = fuse_reach(plan({cable("start", "bus", 60), cable("bus", "rear", 50),
                                      cable("second", "rear", 40), cable("bus", "amp")}));
  EXPECT_EQ(reach[3].start_a, 100);
  EXPECT_EQ(reach[1].start_a, 60);
  EXPECT_EQ(reach[1].end_a, 40);
}

TEST(FuseReach, AnAlternatorFeedsItsRatedCurrent) {
  SupplyPlan supply = plan({cable("alternator", "bus"), cable("start", "bus", 60), cable("bus", "amp")});
  supply.alternator = PlannedAlternator{120, false, 14.2};
  const auto reach = fuse_reach(supply);
  EXPECT_EQ(reach[0].start_a, 120);
  EXPECT_EQ(reach[2].start_a, 180);
}

TEST(FuseReach, AnUnfusedWayLimitsNothingAndTheAlternatorEndsNothing) {
  const auto reach = fuse_reach(plan({cable("start", "bus"), cable("bus", "amp"), cable("alternator", "rear"),
                                      cable("rear", "far", 50), cable("lone", "island")}));
  EXPECT_TRUE(std::isinf(reach[1].start_a));
  EXPECT_TRUE(std::isinf(reach[3].start_a));
  EXPECT_EQ(reach[4].start_a, 0);
  EXPECT_EQ(reach[4].end_a, 0);
}

TEST(FuseReach, AChargerLetsThroughWhatItPutsOutAndOnlyForward) {
  SupplyPlan supply = plan({cable("start", "bus", 60), cable("rear", "amp")});
  supply.chargers = {{"charger", "bus", "rear", 25, 14.4, 0.9}};
  const auto reach = fuse_reach(supply);
  EXPECT_EQ(reach[1].start_a, 25);
  supply.chargers[0].from = "rear", supply.chargers[0].to = "bus";
  EXPECT_EQ(fuse_reach(supply)[1].start_a, 0);
}

TEST(FuseReach, AFusePassesItsRating) {
  EXPECT_EQ(passes_fuse_a(200, 60), 60);
  EXPECT_EQ(passes_fuse_a(40, 60), 40);
  EXPECT_EQ(passes_fuse_a(40, std::nullopt), 40);
}

}  // namespace
}  // namespace cabinfield
