// Third octaves against IEC 61260-1 (base ten) and ISO 266 names; band means against functions whose mean is
// known.
#include "listening/bands.h"

#include <gtest/gtest.h>

#include <cmath>

#include "base/constants.h"
#include "field/frequency_grid.h"

namespace cabinfield {
namespace {

TEST(ThirdOctaves, ReachBelowTenHertz) {
  const auto bands = third_octave_bands(1, 9);
  ASSERT_EQ(bands.size(), 10U);
  EXPECT_EQ(bands.front().label, "1 Hz");
  EXPECT_EQ(bands.back().label, "8 Hz");
  EXPECT_NEAR(bands.front().middle_hz, 1, 1e-12);
  EXPECT_NEAR(bands.back().high_hz, third_octave_bands(10, 10).front().low_hz, 1e-12);
}

TEST(ThirdOctaves, MatchIec61260) {
  // Nominal mid-band frequencies of ISO 266 / IEC 61260-1:2014 Annex E, from memory; exact ones 1000 *
  // 10^(k/10) (5.2, G = 10^0.3).
  const std::vector<std::string> names{
      "10 Hz",  "12.5 Hz", "16 Hz",  "20 Hz",    "25 Hz",    "31.5 Hz", "40 Hz",   "50 Hz",    "63 Hz",
      "80 Hz",  "100 Hz",  "125 Hz", "160 Hz",   "200 Hz",   "250 Hz",  "315 Hz",  "400 Hz",   "500 Hz",
      "630 Hz", "800 Hz",  "1 kHz",  "1.25 kHz", "1.6 kHz",  "2 kHz",   "2.5 kHz", "3.15 kHz", "4 kHz",
      "5 kHz",  "6.3 kHz", "8 kHz",  "10 kHz",   "12.5 kHz", "16 kHz",  "20 kHz"};
  const auto bands = third_octave_bands(10, 20000);
  ASSERT_EQ(bands.size(), names.size());
  for (std::size_t b = 0; b < bands.size(); ++b) {
    EXPECT_EQ(bands[b].label, names[b]);
    const double middle = 1000 * std::pow(10.0, (static_cast<double>(b) - 20) / 10);
    EXPECT_NEAR(bands[b].middle_hz / middle, 1, 1e-14) << names[b];
    // 5.4: edges at G^(-1/6) and G^(1/6) of the middle, so that bands join.
    EXPECT_NEAR(bands[b].high_hz / bands[b].low_hz, std::pow(10.0, 0.1), 1e-14) << names[b];
    EXPECT_NEAR(bands[b].low_hz * bands[b].high_hz / (middle * middle), 1, 1e-14) << names[b];
    const double start = b > 0 ? bands[b - 1].high_hz : bands[b].low_hz;
    EXPECT_NEAR(bands[b].low_hz / start, 1, 1e-14) << names[b];
  }
  // Exact octave mid-bands that the standard prints to five figures.
  for (const auto& [position, exact] :
       {std::pair{11, 125.89}, {14, 251.19}, {17, 501.19}, {20, 1000.0}, {23, 1995.3}})
    EXPECT_NEAR(bands[static_cast<std::size_t>(position)].middle_hz, exact, exact * 3e-5);
}

TEST(ThirdOctaves, IncludeBothEndsByNominalFrequency) {
  const auto bands = third_octave_bands(300, 8000);
  EXPECT_EQ(bands.front().label, "315 Hz");
  EXPECT_EQ(bands.back().label, "8 kHz");
  EXPECT_EQ(third_octave_bands(315, 315).size(), 1U);
  EXPECT_TRUE(third_octave_bands(320, 390).empty());
}

template <typename Function>
std::vector<double> sampled(const std::vector<double>& frequency_hz, Function function) {
  std::vector<double> values;
  for (double f : frequency_hz) values.push_back(function(f));
  return values;
}

TEST(BandMean, OfAConstantAndOfALineInLogFrequencyIsExact) {
  const auto frequency = octave_grid_hz(10, 20000, 7);  // no point of it on a band's edge
  const auto flat = sampled(frequency, [](double) { return 3.0; });
  const auto line = sampled(frequency, [](double f) { return std::log2(f); });
  for (const Band& band : third_octave_bands(20, 16000)) {
    EXPECT_NEAR(*band_mean_square(frequency, flat, band.low_hz, band.high_hz), 3, 1e-12) << band.label;
    // The mean of ln f over ln f is the middle of the two ends.
    EXPECT_NEAR(*band_mean_square(frequency, line, band.low_hz, band.high_hz), std::log2(band.middle_hz),
                1e-12)
        << band.label;
  }
}

TEST(BandMean, OfAPowerConvergesWithTheSquareOfTheStep) {
  // Mean of f over ln f from a to b: (b - a)/ln(b/a). The trapezium errs as the square of the step: 4 within
  // 10 % at each halving.
  const double low = 250, high = 2500, exact = (high - low) / std::log(high / low);
  double last = 0;
  for (int per_octave : {12, 24, 48}) {
    const auto frequency = octave_grid_hz(10, 20000, per_octave);
    const double error =
        *band_mean_square(frequency, sampled(frequency, [](double f) { return f; }), low, high) - exact;
    EXPECT_GT(error, 0) << "chords of a curve that is hollow upward";
    EXPECT_NEAR(last / error, last > 0 ? 4 : 0, 0.4) << per_octave;
    last = error;
  }
}

TEST(BandMean, IsEmptyWithoutEnoughFrequencies) {
  const std::vector<double> frequency{100, 200, 400}, square{1, 1, 1};
  EXPECT_TRUE(band_mean_square(frequency, square, 100, 400));
  EXPECT_TRUE(band_mean_square(frequency, square, 60, 200)) << "58 % of it in ln f";
  EXPECT_FALSE(band_mean_square(frequency, square, 40, 200)) << "43 %";
  EXPECT_FALSE(band_mean_square(frequency, square, 500, 1000));
  EXPECT_FALSE(band_mean_square(std::vector<double>{100}, std::vector<double>{1}, 50, 200));
  EXPECT_FALSE(band_mean_square({}, {}, 50, 200));
  EXPECT_TRUE(band_mean_square(frequency, square, 210, 230)) << "between two points, which enclose it";
}

TEST(SoundLevel, IsOverTwentyMicropascals) {
  // ISO 1683: 20 uPa. 1 Pa is 93.979 dB, 94 dB in the trade.
  EXPECT_NEAR(sound_level_db(1), 93.9794, 1e-4);
  EXPECT_NEAR(sound_level_db(4e-10), 0, 1e-12);
  EXPECT_TRUE(std::isfinite(sound_level_db(0)));
  const std::vector<Complex> left{{3, 4}, {0, 0}}, right{{0, 1}, {0, 0}};
  EXPECT_EQ(mean_square_of_ears(left.data(), right.data(), 2), (std::vector<double>{13, 0}));
}

}  // namespace
}  // namespace cabinfield
