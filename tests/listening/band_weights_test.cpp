// Weights of bands against the means that bands.h integrates, and against functions whose mean is known.
#include "listening/band_weights.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <numeric>

#include "base/constants.h"
#include "field/frequency_grid.h"

namespace cabinfield {
namespace {

// Sums of some 200 terms of up to 2, in another order.
constexpr double rounding = 200 * 2 * 2.2e-16;

std::vector<double> any_square(std::size_t count) {
  std::vector<double> square;
  for (std::size_t i = 0; i < count; ++i) square.push_back(1 + std::sin(1.7 * static_cast<double>(i * i)));
  return square;
}

TEST(BandWeights, GiveTheMeanOfTheBand) {
  const std::vector<double> grid = octave_grid_hz(20, 2000, 12);
  const std::vector<double> square = any_square(grid.size());
  for (const FrequencyRange band :
       {FrequencyRange{60, 120}, {20, 2000}, {100.001, 104}, {15, 40}, {1500, 2300}}) {
    const BandWeights weights = band_weights(grid, band);
    EXPECT_NEAR(weights.mean(square.data()),
                band_mean_square(grid, square, band.low_hz, band.high_hz).value(), rounding)
        << band.low_hz;
    EXPECT_NEAR(std::accumulate(weights.weight.begin(), weights.weight.end(), 0.0), 1, rounding);
    for (double weight : weights.weight) EXPECT_GE(weight, 0);
  }
}

TEST(BandWeights, AreExactForLinearFunctionsOfLogFrequency) {
  // Mean of lg f over a band is lg of its geometric mean: straight between any frequencies, even uneven ones.
  const std::vector<double> grid{50, 61, 64, 90, 130, 131, 200};
  std::vector<double> logarithm;
  for (double f : grid) logarithm.push_back(std::log2(f));
  EXPECT_NEAR(band_weights(grid, {60, 120}).mean(logarithm.data()), std::log2(std::sqrt(60.0 * 120.0)),
              1e-14);
  EXPECT_NEAR(band_weights(grid, {66, 68}).mean(logarithm.data()), std::log2(std::sqrt(66.0 * 68.0)), 1e-13);
}

TEST(BandProblem, SaysWhyABandCannotBeEvaluated) {
  const std::vector<double> grid{50, 60, 70, 80, 100};
  EXPECT_FALSE(band_problem(grid, {50, 100}));
  EXPECT_FALSE(band_problem(grid, {58, 62}));
  EXPECT_FALSE(band_problem(grid, {30, 95}));
  EXPECT_EQ(band_problem(grid, {61, 69}),
            "the band from 61 to 69 Hz has no computed frequency in it; nearest: 60 Hz and 70 Hz");
  EXPECT_EQ(band_problem(grid, {120, 140}),
            "the band from 120 to 140 Hz has no computed frequency in it; nearest: 100 Hz");
  EXPECT_EQ(band_problem(grid, {10, 20}),
            "the band from 10 to 20 Hz has no computed frequency in it; nearest: 50 Hz");
  EXPECT_EQ(band_problem(grid, {90, 400}),
            "the band from 90 to 400 Hz lies more than half outside the computed frequencies, 50 to 100 Hz");
  EXPECT_EQ(band_problem(grid, {80, 80}), "the band from 80 to 80 Hz must end above where it begins");
  EXPECT_EQ(band_problem(grid, {0, 80}), "the band from 0 to 80 Hz must lie above 0 Hz");
  EXPECT_TRUE(band_problem(std::vector<double>{60}, {50, 70}));
  EXPECT_TRUE(band_problem(std::vector<double>{}, {50, 70}));
  EXPECT_TRUE(band_problem(grid, {std::nan(""), 70}));
}

TEST(BandSlices, AreThirdOctavesCutByTheBand) {
  const std::vector<double> grid = octave_grid_hz(20, 2000, 24);
  const std::vector<BandSlice> slices = third_octave_slices(grid, {60, 120});
  // IEC 61260-1: edges at 56.23, 70.79, 89.13, 112.2, 141.3 Hz.
  ASSERT_EQ(slices.size(), 4U);
  const std::vector<std::string> labels{"63 Hz", "80 Hz", "100 Hz", "125 Hz"};
  const std::vector<double> edges{60, 70.7946, 89.1251, 112.2018, 120};
  for (std::size_t b = 0; b < 4; ++b) {
    EXPECT_EQ(slices[b].label, labels[b]);
    EXPECT_NEAR(slices[b].low_hz, edges[b], 1e-4);
    EXPECT_NEAR(slices[b].high_hz, edges[b + 1], 1e-4);
    EXPECT_NEAR(slices[b].share, std::log2(edges[b + 1] / edges[b]), 1e-5);
    EXPECT_NEAR(slices[b].middle_hz, std::sqrt(edges[b] * edges[b + 1]), 1e-4);
  }
}

TEST(BandSlices, AddUpToTheirBand) {
  const std::vector<double> grid = octave_grid_hz(20, 2000, 24);
  const std::vector<double> square = any_square(grid.size());
  for (const FrequencyRange band : {FrequencyRange{60, 120}, {15, 2100}, {70, 72}}) {
    double mean = 0;
    for (const BandSlice& slice : third_octave_slices(grid, band))
      mean += slice.share * slice.weights.mean(square.data());
    EXPECT_NEAR(mean, band_weights(grid, band).mean(square.data()), rounding) << band.low_hz;
  }
}

TEST(BandSlices, OfAWholeThirdOctaveIsOne) {
  const std::vector<double> grid = octave_grid_hz(20, 2000, 24);
  // The edges of neighbours differ in their last places.
  for (const Band& third : third_octave_bands(25, 1600))
    EXPECT_EQ(third_octave_slices(grid, {third.low_hz, third.high_hz}).size(), 1U) << third.label;
}

TEST(OctaveAboutEach, IsTheOctaveAsFarAsFrequenciesReach) {
  const std::vector<double> grid = octave_grid_hz(20, 2000, 24);
  const std::vector<double> square = any_square(grid.size());
  const std::vector<BandWeights> octaves = octave_about_each(grid);
  ASSERT_EQ(octaves.size(), grid.size());
  const double half_octave = std::sqrt(2);
  auto mean = [&](double low, double high) { return band_mean_square(grid, square, low, high).value(); };
  EXPECT_NEAR(octaves[30].mean(square.data()), mean(grid[30] / half_octave, grid[30] * half_octave),
              rounding);
  EXPECT_NEAR(octaves.front().mean(square.data()), mean(grid.front(), grid.front() * half_octave), rounding);
  EXPECT_NEAR(octaves.back().mean(square.data()), mean(grid.back() / half_octave, grid.back()), rounding);
}

}  // namespace
}  // namespace cabinfield
