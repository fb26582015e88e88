// Contributions of channels against numpy (tests/reference/measures.py) and by hand, and their text.
#include "listening/contributions.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <sstream>

#include "field/frequency_grid.h"
#include "support/judged_channels.h"

namespace cabinfield::test {
namespace {

std::span<const double> mono(const JudgedChannels& channels) {
  return std::span<const double>(channels.signal_share).subspan(2 * channels.channels());
}

Contributions found(const JudgedChannels& channels, FrequencyRange range) {
  return contributions(channels.frequency_hz, channels.pressure(), mono(channels), range);
}

TEST(Contributions, MatchNumpy) {
  const Contributions all = found(reference_channels(), {50, 160});
  std::ifstream file(CABINFIELD_SOURCE_DIR "/tests/reference/measures.txt");
  std::string line;
  std::size_t compared = 0;
  while (std::getline(file, line)) {
    std::istringstream words(line);
    std::string name;
    std::array<double, 2> expected{};
    words >> name >> expected[0] >> expected[1];
    if (!name.starts_with("channel_")) continue;
    const std::size_t c = name[8] - '0', b = name[15] - '0';
    ASSERT_LT(b, all.bands.size());
    for (std::size_t s = 0; s < 2; ++s)
      EXPECT_NEAR(name.ends_with("without") ? all.without_db(c, s, b) : all.adds_db(c, s, b), expected[s],
                  1e-9)
          << line;
    ++compared;
  }
  EXPECT_EQ(compared, 2 * 4 * all.bands.size());
}

TEST(Contributions, OfTwoEqualChannelsAreSixDecibels) {
  const JudgedChannels channels =
      delayed_channels(octave_grid_hz(20, 1000, 24), {{0.002, 0.002}, {0.002, 0.002}}, {{1, 0.5}, {1, 0.5}});
  const Contributions all = found(channels, {60, 120});
  for (std::size_t b = 0; b < all.bands.size(); ++b) {
    EXPECT_NEAR(all.adds_db(0, 0, b), 6.0206, 1e-4);
    EXPECT_EQ(all.own_db(1, 0, b), all.without_db(0, 0, b));
    // Mean power of 1 and 0.25: 0.625.
    EXPECT_NEAR(all.own_db(1, 0, b), 93.9794 - 2.0412, 1e-4);
  }
}

TEST(Contributions, UseTheChannelsShareOfTheSignal) {
  const JudgedChannels channels = reference_channels();
  const std::span<const double> shares(channels.signal_share);
  auto of_signal = [&](std::size_t signal) {
    return contributions(channels.frequency_hz, channels.pressure(), shares.subspan(4 * signal, 4),
                         {50, 160});
  };
  // The third channel has half of left, and all of mono.
  const Contributions left = of_signal(0), both = of_signal(2);
  for (std::size_t b = 0; b < left.bands.size(); ++b) {
    EXPECT_NEAR(left.own_db(2, 0, b), both.own_db(2, 0, b) - 6.0206, 1e-4);
    EXPECT_NEAR(left.without_db(0, 0, b), left.own_db(2, 0, b), 1e-10) << "all else that plays";
  }
}

TEST(Contributions, OfAChannelThatDoesNotPlayAreZero) {
  const Contributions all = found(reference_channels(), {50, 160});
  for (std::size_t s = 0; s < 2; ++s)
    for (std::size_t b = 0; b < all.bands.size(); ++b) {
      EXPECT_EQ(all.adds_db(3, s, b), 0);
      EXPECT_LT(all.own_db(3, s, b), -100);
    }
  EXPECT_TRUE(contribution_runs(all, 3, 0).empty());
}

/// Bands of an octave each from 50 Hz, whose sums and sums without the one channel are given.
Contributions given(const std::vector<double>& sum_db, const std::vector<double>& without_db) {
  Contributions made;
  for (std::size_t b = 0; b < sum_db.size(); ++b) {
    const double low = 50 * std::exp2(static_cast<double>(b));
    made.bands.push_back(
        {"", low, 2 * low, low * std::sqrt(2), 1.0 / static_cast<double>(sum_db.size()), {}});
  }
  made.sum_db = Table<double, 2>({1, sum_db.size()});
  made.without_db = made.own_db = Table<double, 3>({1, 1, sum_db.size()});
  made.sum_db.values() = sum_db;
  made.without_db.values() = without_db;
  return made;
}

TEST(ContributionRuns, JoinAdjacentBandsOfTheSameSign) {
  const auto runs = contribution_runs(given({90, 92, 90, 85, 90, 90}, {88, 88, 89.5, 88, 91.5, 87}), 0, 0);
  ASSERT_EQ(runs.size(), 3U);
  EXPECT_NEAR(runs[0].low_hz, 50, 1e-12);
  EXPECT_NEAR(runs[0].high_hz, 200, 1e-12);
  EXPECT_EQ(runs[0].bands, 2U);
  // Mean powers: 10 lg((10^9 + 10^9.2)/(2 * 10^8.8)) = 3.1141 dB.
  EXPECT_NEAR(runs[0].adds_db, 3.1141, 1e-4);
  EXPECT_EQ(runs[0].steepest_db, 4);
  EXPECT_NEAR(runs[0].steepest_hz, 141.42, 0.01);
  EXPECT_EQ(runs[1].bands, 2U);
  EXPECT_EQ(runs[1].steepest_db, -3);
  EXPECT_LT(runs[1].adds_db, -1);
  EXPECT_NEAR(runs[2].adds_db, 3, 1e-12);
}

TEST(ContributionRuns, OmitSmallAndInaudibleChanges) {
  EXPECT_TRUE(contribution_runs(given({90, 90}, {89.1, 90.9}), 0, 0).empty());
  // The second band lies 40 dB down with the channel and without.
  EXPECT_TRUE(contribution_runs(given({90, 50}, {90, 40}), 0, 0).empty());
  EXPECT_EQ(contribution_runs(given({90, 50}, {90, 40}), 0, 0, 1, 60).size(), 1U);
  // Here the channel causes the low level, which is audible.
  EXPECT_EQ(contribution_runs(given({90, 50}, {90, 80}), 0, 0).size(), 1U);
}

ContributionRun run(double low_hz, double high_hz, std::size_t bands, double adds_db,
                    double steepest_hz = 0) {
  return {low_hz, high_hz, bands, adds_db, adds_db, steepest_hz};
}

TEST(ContributionLine, IsASentence) {
  EXPECT_EQ(contribution_line("rear bass", "the driver",
                              std::vector{run(60, 120, 3, 2.13), run(90, 112, 1, -3.04, 95.1)}),
            "rear bass adds 2.1 dB at the driver from 60 to 120 Hz, and takes 3.0 dB away at 95 Hz");
  EXPECT_EQ(contribution_line("centre", "driver", std::vector{run(891, 1122, 1, -1.5, 1000)}),
            "centre takes 1.5 dB away at driver at 1 kHz");
  EXPECT_EQ(
      contribution_line(
          "sub", "driver",
          std::vector{run(22.4, 70.8, 5, 35), run(89.1, 112.2, 1, 1.2, 99), run(708, 1413, 3, -2)}),
      "sub adds all there is at driver from 22 to 71 Hz, 1.2 dB at 99 Hz, and takes 2.0 dB away from 710 Hz "
      "to 1.4 kHz");
  EXPECT_EQ(contribution_line("sub", "driver", {}), std::nullopt);
}

TEST(ContributionLine, OfTwoOpposedChannelsSaysWhichCancels) {
  const JudgedChannels channels = delayed_channels(octave_grid_hz(20, 1000, 24),
                                                   {{0.002, 0.002}, {0.002, 0.002}}, {{1, 1}, {-0.5, -0.5}});
  const Contributions all = found(channels, {60, 120});
  const auto first = contribution_runs(all, 0, 0), second = contribution_runs(all, 1, 0);
  // |1 - 0.5| against 0.5 without the first: nothing. Against 1 without the second: -6 dB.
  EXPECT_EQ(contribution_line("front", "driver", first), std::nullopt);
  EXPECT_EQ(contribution_line("rear", "driver", second),
            "rear takes 6.0 dB away at driver from 60 to 120 Hz");
}

TEST(Contributions, OfAMirroredCabinAreMirrored) {
  const JudgedChannels channels = reference_channels();
  const Contributions here = found(channels, {50, 900});
  const Contributions there = found(mirrored(channels, {1, 0, 2, 3}), {50, 900});
  constexpr std::size_t other[4] = {1, 0, 2, 3};
  for (std::size_t c = 0; c < 4; ++c)
    for (std::size_t s = 0; s < 2; ++s)
      for (std::size_t b = 0; b < here.bands.size(); ++b)
        EXPECT_NEAR(here.adds_db(c, s, b), there.adds_db(other[c], 1 - s, b), 1e-10);
}

}  // namespace
}  // namespace cabinfield::test
