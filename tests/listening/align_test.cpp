// Alignment of arrivals and levels: the settings, and their effect when applied.
#include "listening/align.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "field/frequency_grid.h"
#include "listening/arrival.h"
#include "support/judged_channels.h"

namespace cabinfield::test {
namespace {

JudgedChannels three_channels() {
  return delayed_channels(
      octave_grid_hz(20, 1000, 24),
      {{0.003, 0.004, 0.006, 0.007}, {0.009, 0.008, 0.005, 0.004}, {0.012, 0.012, 0.01, 0.01}},
      {{1, 1, 0.5, 0.5}, {0.5, 0.5, 1, 1}, {2, 2, 0.1, 0.1}});
}

TEST(LiningUp, DelaysAllToTheLatest) {
  const JudgedChannels channels = three_channels();
  const std::vector<int> all{1, 1, 1}, two{1, 1, 0};
  EXPECT_THAT(lining_up_delays_s(channels.arrival_s, 2, 0, all),
              testing::Pointwise(testing::DoubleNear(1e-15), {0.0085, 0.0035, 0.0}));
  EXPECT_THAT(lining_up_delays_s(channels.arrival_s, 2, 1, all),
              testing::Pointwise(testing::DoubleNear(1e-15), {0.0035, 0.0055, 0.0}));
  EXPECT_THAT(lining_up_delays_s(channels.arrival_s, 2, 0, two),
              testing::Pointwise(testing::DoubleNear(1e-15), {0.005, 0.0, 0.0}));
  // The same as the rule of the summary for channels of one driver each.
  EXPECT_THAT(lining_up_delays_s(channels.arrival_s, 2, 0, all),
              testing::Pointwise(testing::DoubleNear(1e-15),
                                 aligning_delays_s({0.0035, 0.0085, 0.012}, {{0}, {1}, {2}}, all)));
}

TEST(LiningUp, IgnoresChannelsThatDoNotArrive) {
  JudgedChannels channels = three_channels();
  channels.arrival_s[4] = std::nan("");
  const std::vector<int> all{1, 1, 1};
  EXPECT_THAT(lining_up_delays_s(channels.arrival_s, 2, 0, all),
              testing::Pointwise(testing::DoubleNear(1e-15), {0.005, 0.0, 0.0}));
}

TEST(Levelling, SetsEachChannelToTheLevel) {
  const JudgedChannels channels = three_channels();
  const BandWeights band = band_weights(channels.frequency_hz, {60, 120});
  const std::vector<int> all{1, 1, 1}, two{0, 1, 1};
  // 1, 0.5 and 2 Pa at the driver: 0, -6.02 and 6.02 dB, on the mean 0 over 1 Pa, 93.98 dB.
  const double one_pa_db = 93.9794;
  EXPECT_NEAR(common_level_db(channels.pressure(), band, 0, all), one_pa_db, 1e-4);
  EXPECT_THAT(levelling_gains_db(channels.pressure(), band, 0, one_pa_db, all),
              testing::Pointwise(testing::DoubleNear(1e-4), {0.0, 6.0206, -6.0206}));
  EXPECT_THAT(levelling_gains_db(channels.pressure(), band, 1, one_pa_db, two),
              testing::Pointwise(testing::DoubleNear(1e-4), {0.0, 0.0, 20.0}));
  EXPECT_NEAR(common_level_db(channels.pressure(), band, 1, two), one_pa_db - 10, 1e-4);
}

TEST(Levelling, LeavesSilentChannelsUnchanged) {
  JudgedChannels channels = three_channels();
  for (std::size_t e = 0; e < 4; ++e)
    for (std::size_t f = 0; f < channels.frequency_hz.size(); ++f) channels.pressure_pa(1, e, f) = 0;
  const BandWeights band = band_weights(channels.frequency_hz, {60, 120});
  const std::vector<int> all{1, 1, 1}, second{0, 1, 0};
  EXPECT_EQ(levelling_gains_db(channels.pressure(), band, 0, 90, all)[1], 0);
  EXPECT_NEAR(common_level_db(channels.pressure(), band, 0, all), 93.9794 + 3.0103, 1e-4);
  EXPECT_TRUE(std::isnan(common_level_db(channels.pressure(), band, 0, second)));
}

TEST(Settings, AppliedGiveEqualArrivalsAndLevels) {
  JudgedChannels channels = three_channels();
  const std::vector<int> all{1, 1, 1};
  const BandWeights band = band_weights(channels.frequency_hz, {60, 120});
  const auto delay_s = lining_up_delays_s(channels.arrival_s, 2, 0, all);
  const auto gain_db = levelling_gains_db(channels.pressure(), band, 0, 90, all);
  std::vector<Complex> phase(channels.frequency_hz.size());
  const JudgedChannels before = channels;
  apply_settings(channels.frequency_hz, 0, gain_db, delay_s, channels.pressure_pa.values(), phase);
  apply_delays(delay_s, channels.arrival_s);
  MeasureOptions spread;
  spread.kind = MeasureKind::arrival_spread;
  EXPECT_NEAR(judge_one(channels, spread).at_seat[0], 0, 1e-12);
  for (double one : levelling_gains_db(channels.pressure(), band, 0, 90, all)) EXPECT_NEAR(one, 0, 1e-12);
  for (std::size_t c = 0; c < 3; ++c)
    for (std::size_t e = 0; e < 4; ++e)
      for (std::size_t f = 0; f < channels.frequency_hz.size(); ++f) {
        const Complex turned =
            std::polar(std::pow(10, gain_db[c] / 20), -2 * pi * channels.frequency_hz[f] * delay_s[c]);
        EXPECT_NEAR(std::abs(channels.pressure_pa(c, e, f) - before.pressure_pa(c, e, f) * turned), 0, 1e-15);
      }
}

TEST(Settings, OfZeroChangeNothing) {
  JudgedChannels channels = reference_channels();
  std::vector<Complex> phase(channels.frequency_hz.size());
  const std::vector<double> zero(4, 0.0);
  apply_settings(channels.frequency_hz, 0, zero, zero, channels.pressure_pa.values(), phase);
  EXPECT_EQ(channels.pressure_pa, reference_channels().pressure_pa);
}

TEST(Settings, ByOctavesEqualThoseOfEachFrequency) {
  JudgedChannels one_by_one = three_channels(), by_octaves = one_by_one;
  const std::vector<double>& frequency_hz = one_by_one.frequency_hz;
  ASSERT_EQ(octave_step(frequency_hz), 24);
  std::vector<Complex> phase(frequency_hz.size());
  const std::vector<double> gain_db{1, 0, -3}, delay_s{0.011, 0.0042, 0};
  apply_settings(frequency_hz, 0, gain_db, delay_s, one_by_one.pressure_pa.values(), phase);
  apply_settings(frequency_hz, 24, gain_db, delay_s, by_octaves.pressure_pa.values(), phase);
  // Five octaves double a rounding of 2e-16 to 7e-15, of pressures of up to 2 Pa.
  for (std::size_t i = 0; i < one_by_one.pressure_pa.size(); ++i)
    EXPECT_NEAR(std::abs(one_by_one.pressure_pa.values()[i] - by_octaves.pressure_pa.values()[i]), 0,
                1.4e-14);
}

TEST(Settings, OfAMirroredCabinAreMirrored) {
  const JudgedChannels here = reference_channels(), there = mirrored(here, {1, 0, 2, 3});
  const std::vector<int> all{1, 1, 1, 0};
  const auto delays = lining_up_delays_s(here.arrival_s, 2, 0, all),
             mirrored_delays = lining_up_delays_s(there.arrival_s, 2, 1, all);
  EXPECT_EQ(delays[0], mirrored_delays[1]);
  EXPECT_EQ(delays[1], mirrored_delays[0]);
  EXPECT_EQ(delays[2], mirrored_delays[2]);
  const BandWeights band = band_weights(here.frequency_hz, {60, 120});
  EXPECT_NEAR(common_level_db(here.pressure(), band, 0, all), common_level_db(there.pressure(), band, 1, all),
              1e-10);
}

}  // namespace
}  // namespace cabinfield::test
