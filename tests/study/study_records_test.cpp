// Records of a study keep every bit in their flat form, whose layout a checkpoint relies on.
#include "study/study_records.h"

#include <gtest/gtest.h>

#include <cmath>
#include <cstring>
#include <limits>

namespace cabinfield {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
constexpr RecordShape shape{2, 3, 4};

bool same_bits(const std::vector<double>& a, const std::vector<double>& b) {
  return a.size() == b.size() && std::memcmp(a.data(), b.data(), a.size() * sizeof(double)) == 0;
}

VariantRecord judged_variant() {
  return {true, {{1, nan}, {-0.0, 2, 3, 4, 5, 6}, {nan, nan, 7, 8, 9, 1.0 / 3}}, 2};
}

TEST(StudyRecords, FlatVariantHasTheLayoutOfTheCheckpoint) {
  const std::vector<double> expected{1, nan, -0.0, 2, 3, 4, 5, 6, nan, nan, 7, 8, 9, 1.0 / 3, 2, 1};
  EXPECT_TRUE(same_bits(flattened(std::vector{judged_variant()}, shape), expected));
}

TEST(StudyRecords, VariantsComeBackToTheLastBit) {
  const std::vector<double> flat =
      flattened(std::vector{judged_variant(), VariantRecord{}, judged_variant()}, shape);
  ASSERT_EQ(flat.size(), 3 * VariantRecord::flat_size(shape));
  const auto back = unflattened<VariantRecord>(flat, shape);
  ASSERT_EQ(back.size(), 3u);
  EXPECT_TRUE(back[0].possible && !back[1].possible && back[2].possible);
  EXPECT_EQ(back[2].openings_missed, 2u);
  EXPECT_TRUE(same_bits(back[2].measured.over_seats, judged_variant().measured.over_seats));
  EXPECT_TRUE(same_bits(back[2].measured.at_seat, judged_variant().measured.at_seat));
  EXPECT_TRUE(same_bits(back[2].measured.detail, judged_variant().measured.detail));
}

TEST(StudyRecords, ImpossibleVariantIsNotANumberThroughout) {
  const std::vector<double> flat = flattened(std::vector{VariantRecord{}}, shape);
  EXPECT_EQ(flat.size(), VariantRecord::flat_size(shape));
  for (double value : flat) EXPECT_TRUE(std::isnan(value));
}

TEST(StudyRecords, PointsAndSamplesComeBackToTheLastBit) {
  const std::vector<PointRecord> points{{0.1, {1, nan, 3}}, PointRecord::without_value(shape)};
  const std::vector<double> flat = flattened(points, shape);
  EXPECT_TRUE(same_bits(flat, {0.1, 1, nan, 3, nan, nan, nan, nan}));
  EXPECT_TRUE(same_bits(flattened(unflattened<PointRecord>(flat, shape), shape), flat));

  const SampleRecord sample{{1, 2}, 3, {4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, nan}};
  const std::vector<double> flat_sample = flattened(std::vector{sample}, shape);
  EXPECT_TRUE(same_bits(flat_sample, {1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, nan}));
  EXPECT_EQ(flat_sample.size(), SampleRecord::flat_size(shape));
  EXPECT_EQ(flat_sample[2], 3);
  EXPECT_TRUE(same_bits(flattened(unflattened<SampleRecord>(flat_sample, shape), shape), flat_sample));
}

}  // namespace
}  // namespace cabinfield
