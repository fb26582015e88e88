// Quantiles against numpy.quantile, whose default is the same type 7.
#include "base/quantiles.h"

#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <limits>
#include <sstream>
#include <string>
#include <vector>

#include "base/counter_random.h"

namespace cabinfield {
namespace {

TEST(Quantile, IsNumpys) {
  std::vector<double> values;
  for (int sample = 0; sample <= 40; ++sample) values.push_back(CounterRandom(7).uniform(sample, 0));
  std::ifstream file(CABINFIELD_SOURCE_DIR "/tests/reference/draws.txt");
  std::string line;
  int compared = 0;
  while (std::getline(file, line)) {
    std::istringstream words(line);
    std::string name;
    double share = 0, expected = 0;
    words >> name >> share >> expected;
    if (name != "quantile") continue;
    std::vector<double> any_order = values;
    // Numpy interpolates in other steps: differences in the last place or two.
    EXPECT_NEAR(quantile(any_order, share), expected, 1e-15) << line;
    ++compared;
  }
  EXPECT_EQ(compared, 6);
}

TEST(Quantile, OfFewByHand) {
  std::vector<double> five{5, 1, 4, 2, 3}, four{4, 1, 3, 2}, one{8};
  EXPECT_EQ(quantile(five, 0.5), 3);
  EXPECT_EQ(quantile(five, 0), 1);
  EXPECT_EQ(quantile(five, 1), 5);
  // Rank 0.25 * 4 = 1 and 0.3 * 4 = 1.2 of 1 2 3 4 5.
  EXPECT_EQ(quantile(five, 0.25), 2);
  EXPECT_NEAR(quantile(five, 0.3), 2.2, 1e-15);
  EXPECT_EQ(quantile(four, 0.5), 2.5);
  EXPECT_EQ(quantile(one, 0.9), 8);
}

TEST(SampleBand, LeavesOutDrawsWithoutAValue) {
  const double none = std::numeric_limits<double>::quiet_NaN();
  std::vector<double> values;
  for (int i = 10; i >= 0; --i) {
    values.push_back(i);
    values.push_back(none);
  }
  const SampleBand band = sample_band(values);
  EXPECT_EQ(band.known, 11U);
  EXPECT_EQ(band.low, 1);
  EXPECT_EQ(band.median, 5);
  EXPECT_EQ(band.high, 9);
  std::vector<double> nothing{none, none};
  EXPECT_EQ(sample_band(nothing).known, 0U);
  EXPECT_TRUE(std::isnan(sample_band(nothing).median));
}

TEST(SampleBand, OfAlikeDrawsIsTheirValueToTheLastBit) {
  std::vector<double> values(37, 0.1);
  const SampleBand band = sample_band(values);
  EXPECT_EQ(band.low, 0.1);
  EXPECT_EQ(band.median, 0.1);
  EXPECT_EQ(band.high, 0.1);
}

}  // namespace
}  // namespace cabinfield
