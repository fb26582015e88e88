#include "system/load_space.h"

#include <gtest/gtest.h>

namespace cabinfield {
namespace {

Body block(double x, double y, double z, double length, double width, double height, double mass_kg = 0) {
  Body body;
  body.at = {x, y, z};
  body.size_m = {length, width, height};
  body.mass_kg = mass_kg;
  return body;
}

TEST(LoadSpaceShapes, GapsAndOverlapsAlongEachAxis) {
  const Body one = block(0, 0, 0, 0.4, 0.2, 0.3);
  EXPECT_NEAR(gap_m(one, block(0.5, 0, 0, 0.4, 0.2, 0.3)), 0.1, 1e-12);
  EXPECT_NEAR(gap_m(one, block(-0.5, 0, 0, 0.4, 0.2, 0.3)), 0.1, 1e-12);
  EXPECT_NEAR(gap_m(one, block(0, 0.25, 0, 0.4, 0.2, 0.3)), 0.05, 1e-12);
  EXPECT_NEAR(gap_m(one, block(0, 0, 0.3, 0.4, 0.2, 0.3)), 0, 1e-12);  // stands on it
  EXPECT_NEAR(gap_m(one, block(0.35, 0.15, 0, 0.4, 0.2, 0.3)), -0.05, 1e-12);
}

TEST(LoadSpaceShapes, WhatLiesWithinARoomHasRoomAllRound) {
  const Body room = block(0, 0, 0, 1, 1, 0.5);
  EXPECT_NEAR(inside_m(block(0, 0.1, 0, 0.4, 0.2, 0.3), room), 0, 1e-12);  // on its floor
  EXPECT_NEAR(inside_m(block(0, 0.1, 0.05, 0.4, 0.2, 0.3), room), 0.05, 1e-12);
  EXPECT_NEAR(inside_m(block(0.4, 0, 0, 0.4, 0.2, 0.3), room), -0.1, 1e-12);
  EXPECT_NEAR(inside_m(block(0, 0, 0.3, 0.4, 0.2, 0.3), room), -0.1, 1e-12);
}

TEST(LoadSpaceShapes, AxlesShareByLevers) {
  // 40 kg midway between the axles, 10 kg a quarter of the wheelbase behind the rear one.
  const AxleLoad load = axle_load({block(1.2, 0, 0, 1, 1, 1, 40), block(3.0, 0, 0, 1, 1, 1, 10)}, {0, 2.4});
  EXPECT_NEAR(load.total_kg, 50, 1e-12);
  EXPECT_NEAR(load.rear_kg, 20 + 12.5, 1e-12);
  EXPECT_NEAR(load.front_kg, 20 - 2.5, 1e-12);
}

TEST(LoadSpaceShapes, ACrashPullsWithTwentyTimesTheWeight) {
  // 25 kg is 5 kN (common practice, no source).
  EXPECT_NEAR(crash_force_n(25), 5000, 100);
}

}  // namespace
}  // namespace cabinfield
