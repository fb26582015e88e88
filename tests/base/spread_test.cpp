// Spreads: sampled values.
#include "base/spread.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "base/quantiles.h"

namespace cabinfield {
namespace {

std::vector<double> many(const Spread& spread, double value) {
  const CounterRandom random(3);
  std::vector<double> values;
  for (int sample = 0; sample < 20000; ++sample)
    values.push_back(sampled(spread, value, spread_sample(random, sample, 0)));
  return values;
}

double share_between(const std::vector<double>& values, double low, double high) {
  int inside = 0;
  for (double value : values) inside += value >= low && value <= high ? 1 : 0;
  return inside / static_cast<double>(values.size());
}

// Of the normal distribution, cut at three standard deviations, two hold (2 Phi(2) - 1)/(2 Phi(3) - 1) =
// 95.71 %; four standard errors of 20,000 draws.
constexpr double two_deviations = 0.9571;
const double error = 4 * std::sqrt(two_deviations * (1 - two_deviations) / 20000);

TEST(Spread, PlusMinusHoldsNineteenOfTwenty) {
  const std::vector<double> values = many({.kind = SpreadKind::plus_minus, .size = 10}, 500);
  EXPECT_NEAR(share_between(values, 490, 510), two_deviations, error);
  EXPECT_EQ(share_between(values, 485, 515), 1) << "none beyond one and a half times the size";
  EXPECT_LT(share_between(values, 487, 513), 1);
  // The middle and the tenth: 5 Phi^-1(0.1) = -6.41 mm from it; four standard errors, sqrt(q (1 -
  // q)/n)/density.
  std::vector<double> any_order = values;
  const SampleBand band = sample_band(any_order);
  EXPECT_NEAR(band.median, 500, 4 * 5 * std::sqrt(0.25 / 20000) / 0.3989);
  EXPECT_NEAR(band.low, 493.59, 4 * 5 * std::sqrt(0.09 / 20000) / 0.1755);
  EXPECT_NEAR(band.high, 506.41, 4 * 5 * std::sqrt(0.09 / 20000) / 0.1755);
}

TEST(Spread, RelativeGrowsWithTheValue) {
  const auto values = many({.kind = SpreadKind::relative, .size = 0.15}, 60);
  EXPECT_NEAR(share_between(values, 51, 69), two_deviations, error);
  EXPECT_NEAR(share_between(values, 60, 1e9), 0.5, 4 * std::sqrt(0.25 / 20000));
}

TEST(Spread, AFactorIsAlikeUpAndDown) {
  const auto values = many({.kind = SpreadKind::factor, .size = 1.5}, 30);
  EXPECT_NEAR(share_between(values, 20, 45), two_deviations, error);
  EXPECT_NEAR(share_between(values, 30, 1e9), 0.5, 4 * std::sqrt(0.25 / 20000));
}

TEST(Spread, ARangeIsUniformWhateverTheValue) {
  const auto values = many({.kind = SpreadKind::range, .low = 0, .high = 35}, 99);
  EXPECT_EQ(share_between(values, 0, 35), 1);
  EXPECT_NEAR(share_between(values, 0, 7), 0.2, 4 * std::sqrt(0.16 / 20000));
  EXPECT_NEAR(share_between(values, 28, 35), 0.2, 4 * std::sqrt(0.16 / 20000));
}

TEST(Spread, OfNoSizeLeavesTheValueToTheLastBit) {
  const SpreadSample sample{0.1, -1.7};
  for (double value : {0.1, -0.3, 1e9 + 0.7, 0.0}) {
    EXPECT_EQ(sampled({.kind = SpreadKind::plus_minus, .size = 0}, value, sample), value);
    EXPECT_EQ(sampled({.kind = SpreadKind::relative, .size = 0}, value, sample), value);
    EXPECT_EQ(sampled({.kind = SpreadKind::factor, .size = 1}, value, sample), value);
  }
}

TEST(Spread, TellsWhatIsWrong) {
  EXPECT_FALSE(spread_problem({.kind = SpreadKind::plus_minus, .size = 0}));
  EXPECT_TRUE(spread_problem({.kind = SpreadKind::plus_minus, .size = -1}));
  EXPECT_FALSE(spread_problem({.kind = SpreadKind::relative, .size = 0.66}));
  EXPECT_TRUE(spread_problem({.kind = SpreadKind::relative, .size = 0.67}));
  EXPECT_TRUE(spread_problem({.kind = SpreadKind::relative, .size = -0.1}));
  EXPECT_FALSE(spread_problem({.kind = SpreadKind::factor, .size = 1}));
  EXPECT_TRUE(spread_problem({.kind = SpreadKind::factor, .size = 0.9}));
  EXPECT_FALSE(spread_problem({.kind = SpreadKind::range, .low = 3, .high = 3}));
  EXPECT_TRUE(spread_problem({.kind = SpreadKind::range, .low = 4, .high = 3}));
  EXPECT_TRUE(spread_problem({.kind = SpreadKind::plus_minus, .size = std::nan("")}));
}

}  // namespace
}  // namespace cabinfield
