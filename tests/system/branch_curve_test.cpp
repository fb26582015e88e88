#include "system/branch_curve.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <vector>

namespace cabinfield {
namespace {

std::vector<BranchCurve> curves() {
  return {BranchCurve(),
          regulated_source(14.2, 2e-3, 100),
          regulated_source(14.2, 0.2, 100),
          battery_curve(12.6, 4e-3, 0.13),
          battery_curve(12.6, 4e-3, 0),
          load_curve(800, 10.5),
          load_curve(0, 10.5, {{10.5, 300}, {12, 400}, {14, 560}, {15, 600}, {16, 600}}),
          charger_draw(20, 40, 11, 0.5, 16),
          charger_draw(60, 40, 11, 0.5, 16),
          charger_draw(0, 40, 11, 0.5, 16)};
}

TEST(BranchCurve, IsContinuousAndBoundsItsSecantsAndSlopes) {
  std::vector<double> volts;
  for (int i = 0; i <= 180; ++i) volts.push_back(0.1 * i);
  for (double corner : {10.5, 11.0, 11.25, 11.5, 12.6, 14.0, 14.2})
    for (double near : {-1e-9, 0.0, 1e-9}) volts.push_back(corner + near);
  std::sort(volts.begin(), volts.end());
  std::size_t number = 0;
  for (const BranchCurve& curve : curves()) {
    for (std::size_t v = 1; v < volts.size(); ++v) {
      const double here_v = volts[v];
      EXPECT_NEAR(curve.current_a(here_v), curve.current_a(here_v - 1e-10), 1e-6)
          << number << " at " << here_v;
      const double steepest_s = curve.steepest_secant_s(here_v);
      for (std::size_t w = 0; w < v; ++w) {
        const double risen_a = curve.current_a(here_v) - curve.current_a(volts[w]);
        EXPECT_LE(risen_a, steepest_s * (here_v - volts[w]) + 1e-9)
            << number << ": " << volts[w] << " to " << here_v;
        const double least_s = curve.least_slope_s(volts[w], here_v);
        EXPECT_GE(risen_a, least_s * (here_v - volts[w]) - 1e-9)
            << number << ": " << volts[w] << " to " << here_v;
      }
    }
    ++number;
  }
}

TEST(BranchCurve, SourcesAndLoadsAreWhatTheyAreCalled) {
  const BranchCurve source = regulated_source(14.2, 2e-3, 100);
  EXPECT_EQ(source.current_a(12), -100);
  EXPECT_NEAR(source.current_a(14.1), -50, 1e-9);
  EXPECT_EQ(source.current_a(14.3), 0);
  EXPECT_NEAR(battery_curve(12.6, 4e-3, 0.13).current_a(12.2), -100, 1e-9);
  EXPECT_NEAR(battery_curve(12.6, 4e-3, 0.13).current_a(13.9), 10, 1e-9);
  const BranchCurve load = load_curve(800, 10.5);
  EXPECT_NEAR(load.current_a(12.5), 64, 1e-12);
  EXPECT_NEAR(load.current_a(5.25), 800 / 10.5 / 2, 1e-12);
  // 2 A and 3 v^2 W: a parabola through any three points is that.
  auto power = [](double v) { return PowerAtVoltage{v, 2 * v + 3 * v * v}; };
  const BranchCurve follows = load_curve(0, 10.5, {power(10.5), power(12), power(16)});
  EXPECT_NEAR(follows.current_a(13.7), 2 + 3 * 13.7, 1e-10);
  EXPECT_NEAR(follows.current_a(17), power(16).power_w / 17, 1e-10);
  // 20 A at 16 V of input power from 11.25 V on, which lets 40 A pass half.
  EXPECT_EQ(charger_draw(20, 40, 11, 0.5, 16).current_a(10.9), 0);
  EXPECT_NEAR(charger_draw(20, 40, 11, 0.5, 16).current_a(11.125), 10 * 16 / 11.125, 1e-9);
  EXPECT_NEAR(charger_draw(20, 40, 11, 0.5, 16).current_a(12), 20 * 16 / 12.0, 1e-9);
}

}  // namespace
}  // namespace cabinfield
