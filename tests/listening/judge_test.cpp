// Points and limits, by hand.
#include "listening/judge.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace cabinfield {
namespace {

const double none = std::numeric_limits<double>::quiet_NaN();

Judgement judged(MeasureKind kind, double weight) {
  Judgement judgement = judgement_of(kind);
  judgement.weight = weight;
  return judgement;
}

TEST(Score, IsWeightTimesMeritInTheUnitOfTheMeasure) {
  EXPECT_EQ(points(judged(MeasureKind::level, 2), 95), 190);
  EXPECT_EQ(points(judged(MeasureKind::response_deviation, 3), 4), -12);
  EXPECT_EQ(points(judged(MeasureKind::side_angle, 0.5), -20), -10);
  EXPECT_EQ(points(judged(MeasureKind::side_angle, 0.5), 20), -10);
  Judgement aimed = judged(MeasureKind::power_share, 0.1);
  aimed.aim = 60;
  EXPECT_EQ(points(aimed, 60), 0);
  EXPECT_NEAR(points(aimed, 80), -2, 1e-12);
  EXPECT_NEAR(points(aimed, 40), -2, 1e-12);
}

TEST(Score, AddsUp) {
  const std::vector<Judgement> judgements{judged(MeasureKind::level, 1),
                                          judged(MeasureKind::response_deviation, 2),
                                          judged(MeasureKind::path_difference, 0.01)};
  const Score score = score_of(judgements, std::vector<double>{100, 3, -250});
  EXPECT_NEAR(score.points, 100 - 6 - 2.5, 1e-12);
  EXPECT_EQ(score.broken, 0U);
}

TEST(Score, WithoutAValueIsNotANumberUnlessItHasNoWeight) {
  EXPECT_TRUE(std::isnan(score_of(std::vector{judged(MeasureKind::level, 1)}, std::vector{none}).points));
  EXPECT_EQ(score_of(std::vector{judged(MeasureKind::level, 0)}, std::vector{none}).points, 0);
}

TEST(Limits, ApplyToValuesOrMagnitudes) {
  Judgement level = judgement_of(MeasureKind::level), angle = judgement_of(MeasureKind::side_angle);
  level.at_least = 90;
  level.at_most = 110;
  angle.at_most = 15;
  EXPECT_TRUE(keeps_limits(level, 90));
  EXPECT_TRUE(keeps_limits(level, 110));
  EXPECT_FALSE(keeps_limits(level, 89.9));
  EXPECT_FALSE(keeps_limits(level, 110.1));
  EXPECT_TRUE(keeps_limits(angle, -15));
  EXPECT_FALSE(keeps_limits(angle, -16));
  EXPECT_FALSE(keeps_limits(angle, none)) << "what is not known keeps no limit";
  EXPECT_TRUE(keeps_limits(judgement_of(MeasureKind::level), none)) << "without limits";
  const std::vector<Judgement> both{level, angle};
  EXPECT_EQ(score_of(both, std::vector<double>{80, -16}).broken, 2U);
  EXPECT_EQ(score_of(both, std::vector<double>{95, -16}, 3).broken, 4U) << "with those broken elsewhere";
  EXPECT_THAT(broken_limits(both, std::vector<double>{95, -16}), testing::ElementsAre(1U));
  EXPECT_THAT(broken_limits(both, std::vector<double>{95, 3}), testing::ElementsAre());
}

TEST(Limits, AreWorded) {
  Judgement level = judgement_of(MeasureKind::level), angle = judgement_of(MeasureKind::side_angle);
  level.at_least = 90;
  angle.at_most = 15;
  EXPECT_EQ(limit_words(MeasureKind::level, level, 84.25), "level 84.2 dB, at least 90 dB");
  EXPECT_EQ(limit_words(MeasureKind::side_angle, angle, -16), "side_angle 16.0 deg, at most 15 deg");
  EXPECT_EQ(limit_words(MeasureKind::side_angle, angle, none), "side_angle has no value, at most 15 deg");
}

TEST(Judgement, ReportsWhatIsWrong) {
  EXPECT_FALSE(judgement_problem(judged(MeasureKind::level, 0)));
  EXPECT_EQ(judgement_problem(judged(MeasureKind::level, -1)), "a weight must be 0 or more");
  EXPECT_TRUE(judgement_problem(judged(MeasureKind::level, none)));
  Judgement level = judgement_of(MeasureKind::level);
  level.at_least = 90;
  level.at_most = 80;
  EXPECT_EQ(judgement_problem(level), "no value is at least 90 and at most 80");
}

}  // namespace
}  // namespace cabinfield
