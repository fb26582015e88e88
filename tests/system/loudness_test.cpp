#include "system/loudness.h"

#include <gtest/gtest.h>

#include <cmath>

namespace cabinfield {
namespace {

TEST(Loudness, WeightsAreThoseOfTheStandard) {
  // IEC 61672-1 Table 3, at exact third octaves; A from 63 Hz to 8 kHz read in a transcription, the rest from
  // memory.
  auto exact = [](int band) { return 1000 * std::pow(10, band / 10.0); };
  for (const auto& [band, a_db, c_db] : {std::tuple{-15, -39.4, -3.0},
                                         {-12, -26.2, -0.8},
                                         {-9, -16.1, -0.2},
                                         {-6, -8.6, 0.0},
                                         {-3, -3.2, 0.0},
                                         {0, 0.0, 0.0},
                                         {3, 1.2, -0.2},
                                         {9, -1.1, -3.0}}) {
    EXPECT_NEAR(a_weight_db(exact(band)), a_db, 0.0501) << band;
    EXPECT_NEAR(c_weight_db(exact(band)), c_db, 0.0501) << band;
  }
}

TEST(Loudness, BandsAddAsPowers) {
  EXPECT_NEAR(weighted_sum_db({90, 90}, {1000, 1000}, Weighting::none), 93.0103, 1e-4);
  EXPECT_NEAR(weighted_sum_db({90, -300}, {63.0957, 1000}, Weighting::a), 90 - 26.2, 0.05);
  EXPECT_NEAR(weighted_sum_db({90, 60}, {63.0957, 1000}, Weighting::c), 89.2, 0.05);
}

TEST(Loudness, HoursAreThoseOfTheTable) {
  // NIOSH 98-126: 85 dBA 8 h, 88 4 h, 91 2 h, 94 1 h, 100 15 min (read in a transcription).
  for (const auto& [level, hours] :
       {std::pair{85.0, 8.0}, {88.0, 4.0}, {91.0, 2.0}, {94.0, 1.0}, {100.0, 0.25}})
    EXPECT_NEAR(exposure_hours(level), hours, 1e-12) << level;
}

}  // namespace
}  // namespace cabinfield
