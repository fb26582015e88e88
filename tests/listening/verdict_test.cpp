// Ranking and its counts over samples: by hand, and the same in any order of the work.
#include "listening/verdict.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <vector>

#include "base/counter_random.h"

namespace cabinfield {
namespace {

using testing::ElementsAre;
const double none = std::numeric_limits<double>::quiet_NaN();

TEST(Ranking, PutsLimitsBeforePointsAndBreaksTiesByIndex) {
  //                               0       1       2       3        4       5       6
  const std::vector<Score> scores{{5, 0}, {9, 1}, {7, 0}, {none, 0}, {7, 0}, {8, 2}, {none, 1}};
  EXPECT_THAT(ranking(scores), ElementsAre(2, 4, 0, 3, 1, 6, 5));
  EXPECT_THAT(ranking({}), ElementsAre());
}

TEST(BetterScore, IsAStrictWeakOrder) {
  const std::vector<Score> scores{{5, 0}, {9, 1}, {none, 0}, {7, 0}, {none, 0}};
  for (const Score& a : scores) {
    EXPECT_FALSE(better_score(a, a));
    for (const Score& b : scores) EXPECT_FALSE(better_score(a, b) && better_score(b, a));
  }
}

TEST(SampleVerdict, CountsBestVariantsAndThoseThatBeatThePresentOne) {
  //                                  sample 0  sample 1  sample 2  sample 3
  const std::vector<Score> present{{5, 0}, {5, 0}, {5, 0}, {5, 0}};
  const std::vector<Score> first{{6, 0}, {5, 0}, {9, 1}, {4, 0}};
  const std::vector<Score> second{{6, 0}, {7, 0}, {5, 0}, {4, 0}};
  SampleVerdict verdict(4, present);
  EXPECT_EQ(verdict.add(0, present), 0U) << "alike is not beaten";
  EXPECT_EQ(verdict.add(1, first), 1U);
  EXPECT_EQ(verdict.add(2, second), 2U);
  // Sample 0: 1 and 2 equal; sample 1: 2; sample 2: 0 and 2 equal, 1 breaks a limit; sample 3: 0.
  EXPECT_THAT(verdict.times_best(3), ElementsAre(2, 1, 1));
}

TEST(SampleVerdict, NeedsNoPresentVariant) {
  SampleVerdict verdict(1, {});
  EXPECT_EQ(verdict.add(7, std::vector<Score>{{1, 0}}), 0U);
  EXPECT_EQ(verdict.best().front().variant, 7U);
  // Merging an empty verdict changes nothing, not even for a score below its empty one.
  SampleVerdict low(1, {});
  low.add(3, std::vector<Score>{{-5, 2}});
  low.merge(SampleVerdict(1, {}));
  EXPECT_EQ(low.best().front().variant, 3U);
  EXPECT_THAT(SampleVerdict(2, {}).times_best(2), ElementsAre(0, 0));
}

TEST(SampleVerdict, IsTheSameInAnyOrderAndInParts) {
  constexpr std::size_t variants = 40, samples = 25;
  const CounterRandom random(1);
  auto scores = [&](std::size_t variant) {
    std::vector<Score> row;
    // Few different points, so that many are equal.
    for (std::size_t d = 0; d < samples; ++d)
      row.push_back({std::floor(4 * random.uniform(d, static_cast<std::uint32_t>(variant))),
                     random.uniform(d, static_cast<std::uint32_t>(variant), 1) < 0.3 ? 1U : 0U});
    return row;
  };
  SampleVerdict forward(samples, scores(0)), backward(samples, scores(0)), part(samples, scores(0)),
      rest(samples, scores(0));
  for (std::size_t v = 0; v < variants; ++v) {
    forward.add(v, scores(v));
    backward.add(variants - 1 - v, scores(variants - 1 - v));
    (v % 3 == 0 ? part : rest).add(v, scores(v));
  }
  rest.merge(part);
  rest.merge(SampleVerdict(samples, {}));
  // By definition: the first in the ranking of each sample.
  std::vector<std::size_t> expected(variants, 0);
  for (std::size_t d = 0; d < samples; ++d) {
    std::vector<Score> of_sample;
    for (std::size_t v = 0; v < variants; ++v) of_sample.push_back(scores(v)[d]);
    ++expected[ranking(of_sample).front()];
  }
  EXPECT_EQ(forward.times_best(variants), expected);
  EXPECT_EQ(backward.times_best(variants), expected);
  EXPECT_EQ(rest.times_best(variants), expected);
}

}  // namespace
}  // namespace cabinfield
