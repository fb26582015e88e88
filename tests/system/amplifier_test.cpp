#include "system/amplifier.h"

#include <gtest/gtest.h>

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
  EXPECT_NE(rating_error({{4, 90}, {4, 80}}).find("twice"), std::string::npos);
  EXPECT_NE(rating_error({{0, 90}}), "");
  EXPECT_THROW(output_reach(four_channels(), false, 0, 14.4), std::invalid_argument);
}

}  // namespace
}  // namespace cabinfield
