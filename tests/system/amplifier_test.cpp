#include "system/amplifier.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace cabinfield {
namespace {

// Invented: 90 W into 4 ohm, 140 W into 2 ohm a channel, 280 W into 4 ohm bridged.
Amplifier four_channels() {
  Amplifier amplifier;
  amplifier.channels = 4;
  amplifier.ratings = {{4, 90}, {2, 140}};
  amplifier.bridged = {{4, 280}};
  amplifier.distortion = 0;
  amplifier.least_load_ohm = 2;
  amplifier.least_bridged_ohm = 4;
  return amplifier;
}

TEST(Amplifier, GivesItsRatingsIntoTheirLoads) {
  const Amplifier amplifier = four_channels();
  EXPECT_NEAR(power_into_w(amplifier, false, 4, 14.4), 90, 1e-9);
  EXPECT_NEAR(power_into_w(amplifier, false, 2, 14.4), 140, 1e-9);
  EXPECT_NEAR(power_into_w(amplifier, true, 4, 14.4), 280, 1e-9);
}

TEST(Amplifier, FollowsItsLoadLineBetweenAndBeyond) {
  const Amplifier amplifier = four_channels();
  // Points (4.743 A, 18.974 V) and (8.367 A, 16.733 V): 21.908 V open, slope -0.6186 ohm; 8 ohm: 20.34 V.
  const double slope = (std::sqrt(280.0) - std::sqrt(360.0)) / (std::sqrt(70.0) - std::sqrt(22.5));
  const double open_v = std::sqrt(360.0) - slope * std::sqrt(22.5);
  EXPECT_NEAR(output_reach(amplifier, false, 8, 14.4).voltage_v, open_v * 8 / (8 - slope), 1e-9);
  EXPECT_NEAR(output_reach(amplifier, false, 3, 14.4).voltage_v, open_v * 3 / (3 - slope), 1e-9);
  EXPECT_EQ(output_reach(amplifier, false, 3, 14.4).limit, OutputLimit::voltage);
  // Below the lowest load its current holds: 8.367 A into 1 ohm.
  const OutputReach low = output_reach(amplifier, false, 1, 14.4);
  EXPECT_EQ(low.limit, OutputLimit::current);
  EXPECT_NEAR(low.voltage_v, std::sqrt(70.0), 1e-9);
}

TEST(Amplifier, TwoRatingsOfOneCurrentAreItsCurrentLimit) {
  // 100 W into 4 ohm and 50 W into 2 ohm are 5 A both (Ohm's law).
  Amplifier amplifier = four_channels();
  amplifier.ratings = {{4, 100}, {2, 50}};
  EXPECT_EQ(rating_error(amplifier.ratings), "");
  for (double supply_v : {14.4, 12.1}) {
    const double lift = supply_v / 14.4;
    // No slope to go on with: the voltage of the first.
    EXPECT_NEAR(output_reach(amplifier, false, 8, supply_v).voltage_v, 20 * lift, 1e-9);
    EXPECT_EQ(output_reach(amplifier, false, 8, supply_v).limit, OutputLimit::voltage);
    for (double load_ohm : {3.0, 2.5, 2.0, 1.0}) {
      const OutputReach reach = output_reach(amplifier, false, load_ohm, supply_v);
      EXPECT_NEAR(reach.voltage_v, std::min(20 * lift, 5 * load_ohm), 1e-9) << load_ohm;
    }
    EXPECT_EQ(output_reach(amplifier, false, 3, supply_v).limit, OutputLimit::current);
  }
  // With 50 W into 8 ohm in front, 20 V hold down to 4 ohm.
  amplifier.ratings = {{8, 50}, {4, 100}, {2, 50}};
  EXPECT_NEAR(output_reach(amplifier, false, 6, 14.4).voltage_v, 20, 1e-9);
  EXPECT_NEAR(output_reach(amplifier, false, 3, 14.4).voltage_v, 15, 1e-9);
  EXPECT_NEAR(output_reach(amplifier, false, 1.5, 14.4).voltage_v, 7.5, 1e-9);
}

TEST(Amplifier, RatingsCloseTogetherReachNoFurtherThanTheirCurrent) {
  // 20.0 V and 20.2 V, 5.00 A and 5.06 A: a rise within what data sheets round by.
  Amplifier amplifier = four_channels();
  amplifier.ratings = {{4, 100}, {3.99, 102}};
  ASSERT_EQ(rating_error(amplifier.ratings), "");
  for (double load_ohm : {4.0, 3.0, 2.0, 0.5}) {
    const double voltage_v = output_reach(amplifier, false, load_ohm, 14.4).voltage_v;
    EXPECT_GT(voltage_v, 0.99 * 5 * load_ohm) << load_ohm;
    EXPECT_LT(voltage_v, 1.02 * 5 * load_ohm) << load_ohm;
  }
}

TEST(Amplifier, ALimitOfPowerIsNoSourceResistance) {
  // 600 W into 4 ohm and into 2 ohm alike: 48.99 V and 34.64 V. A supply that holds one power gives no 84 V
  // without load: 1.2 times the first (common practice, no source).
  Amplifier amplifier = four_channels();
  amplifier.ratings = {{4, 600}, {2, 600}};
  const double first_v = std::sqrt(2400.0);
  EXPECT_NEAR(output_reach(amplifier, false, 1e6, 14.4).voltage_v, 1.2 * first_v, 1e-3);
  EXPECT_NEAR(power_into_w(amplifier, false, 4, 14.4), 600, 1e-9);
  EXPECT_NEAR(power_into_w(amplifier, false, 2, 14.4), 600, 1e-9);
}

TEST(Amplifier, VoltageMovesWithTheSupplyUnlessRegulated) {
  Amplifier amplifier = four_channels();
  amplifier.ratings = {{4, 90}};
  const double full = output_reach(amplifier, false, 8, 14.4).voltage_v;
  EXPECT_NEAR(output_reach(amplifier, false, 8, 12.0).voltage_v, full * 12.0 / 14.4, 1e-9);
  amplifier.regulated = true;
  EXPECT_NEAR(output_reach(amplifier, false, 8, 12.0).voltage_v, full, 1e-9);
}

TEST(Amplifier, APowerToldAtADistortionIsThatOfAClippedSine) {
  // Clipped sines of that distortion sampled and summed with numpy, 400,000 points a period.
  EXPECT_NEAR(clipped_power_ratio(0.001), 1.0078202928, 1e-8);
  EXPECT_NEAR(clipped_power_ratio(0.01), 1.0475058652, 1e-8);
  EXPECT_NEAR(clipped_power_ratio(0.1), 1.2877619014, 1e-8);
  Amplifier amplifier = four_channels();
  amplifier.distortion = 0.1;
  EXPECT_NEAR(power_into_w(amplifier, false, 4, 14.4), 90 / 1.2877619014, 1e-5);
}

TEST(Amplifier, MeetsTheEfficienciesOfItsClass) {
  // Class D 80 to 85 % at full and 60 to 70 % at an eighth, class AB 55 and 25 to 30 % (common practice, no
  // source).
  for (AmplifierClass kind : {AmplifierClass::d, AmplifierClass::ab}) {
    Amplifier amplifier = four_channels();
    amplifier.efficiency = usual_efficiency(kind);
    amplifier.idle_a = 0.8;
    const double full_w = 360;
    EXPECT_NEAR(full_w / draw_w(amplifier, full_w, full_w, 13.8), amplifier.efficiency.full, 1e-12);
    EXPECT_NEAR(full_w / 8 / draw_w(amplifier, full_w / 8, full_w, 13.8), amplifier.efficiency.eighth, 1e-12);
    EXPECT_NEAR(draw_w(amplifier, 0, full_w, 13.8), 0.8 * 13.8, 1e-12);
    double before = 0;
    for (int step = 0; step <= 40; ++step) {
      const double now = draw_w(amplifier, full_w * step / 40, full_w, 13.8);
      EXPECT_GT(now, before);
      before = now;
    }
  }
}

TEST(Amplifier, AnEighthOfThePowerIsNineDecibelsDown) {
  // EN 60065 4.2.6: -9.03 dB, read in a transcription.
  EXPECT_NEAR(10 * std::log10(1.0 / 8), -9.03, 0.005);
}

TEST(Amplifier, TablesThatCannotBeAreTold) {
  EXPECT_EQ(rating_error({{4, 90}, {2, 140}}), "");
  EXPECT_EQ(rating_error({{4, 90}, {2, 180}}), "");  // the voltage holds
  EXPECT_NE(rating_error({{4, 90}, {2, 200}}).find("at most 180 W"), std::string::npos);
  EXPECT_NE(rating_error({{4, 90}, {2, 40}}).find("at least 45 W"), std::string::npos);
  EXPECT_NE(rating_error({{4, 90}, {4, 80}}).find("two ratings for 4 ohm"), std::string::npos);
  EXPECT_NE(rating_error({{0, 90}}), "");
  EXPECT_THROW(output_reach(four_channels(), false, 0, 14.4), std::invalid_argument);
}

}  // namespace
}  // namespace cabinfield
