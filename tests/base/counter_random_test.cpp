// Counter-based random numbers against the known answers of their authors, and against
// tests/reference/draws.py, which uses numpy's Philox at its width.
#include "base/counter_random.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "base/parallel.h"

namespace cabinfield {
namespace {

using Words = std::array<std::uint32_t, 4>;

TEST(Philox, GivesTheKnownAnswersOfItsAuthors) {
  // Random123 1.14, tests/kat_vectors, "philox4x32 10" (Debian's librandom123-doc, seen).
  EXPECT_EQ(philox_4x32_10({0, 0, 0, 0}, {0, 0}), (Words{0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8}));
  EXPECT_EQ(philox_4x32_10({0xffffffff, 0xffffffff, 0xffffffff, 0xffffffff}, {0xffffffff, 0xffffffff}),
            (Words{0x408f276d, 0x41c83b0e, 0xa20bc7c6, 0x6d5451fd}));
  EXPECT_EQ(philox_4x32_10({0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344}, {0xa4093822, 0x299f31d0}),
            (Words{0xd16cfe09, 0x94fdcceb, 0x5001e420, 0x24126ea1}));
}

TEST(CounterRandom, IsWhatTheReferenceComputes) {
  std::ifstream file(CABINFIELD_SOURCE_DIR "/tests/reference/draws.txt");
  std::string line;
  int compared = 0;
  while (std::getline(file, line)) {
    std::istringstream words(line);
    std::string name;
    words >> name;
    if (name == "normal_quantile") {
      double share = 0, value = 0;
      words >> share >> value;
      // Both are accurate to some units in the last place of a value, or of the probability near one half.
      EXPECT_NEAR(normal_quantile(share), value, 1e-14 * std::max(1.0, std::abs(value))) << line;
      if (share < 0.4) {
        EXPECT_NEAR(normal_share(value) / share, 1, 1e-12) << line;
      }
      ++compared;
    }
    if (name != "philox" && name != "uniform" && name != "normal" && name != "truncated") continue;
    std::uint64_t seed = 0, sample = 0;
    std::uint32_t stream = 0, index = 0;
    words >> seed >> sample >> stream >> index;
    const CounterRandom random(seed);
    ++compared;
    if (name == "philox") {
      Words expected{};
      for (std::uint32_t& word : expected) words >> word;
      EXPECT_EQ(philox_4x32_10({static_cast<std::uint32_t>(sample), static_cast<std::uint32_t>(sample >> 32),
                                stream, index},
                               {static_cast<std::uint32_t>(seed), static_cast<std::uint32_t>(seed >> 32)}),
                expected)
          << line;
      continue;
    }
    double value = 0;
    words >> value;
    const double found = name == "uniform"  ? random.uniform(sample, stream, index)
                         : name == "normal" ? random.normal(sample, stream, index)
                                            : random.truncated_normal(1.5, sample, stream, index);
    // A uniform number is exact; scipy's other two are accurate to some units in the last place.
    EXPECT_NEAR(found, value, name == "uniform" ? 0 : 1e-13) << line;
  }
  EXPECT_EQ(compared, 4 * 7 + 12);
}

TEST(CounterRandom, HasTheMomentsOfItsDistributions) {
  constexpr int samples = 100000;
  const CounterRandom random(5);
  double sum = 0, square = 0, normal_sum = 0, normal_square = 0, truncated_square = 0, product = 0;
  int inside = 0;
  for (int sample = 0; sample < samples; ++sample) {
    const double uniform = random.uniform(sample, 0), normal = random.normal(sample, 1),
                 truncated = random.truncated_normal(1, sample, 2);
    EXPECT_TRUE(uniform > 0 && uniform < 1);
    EXPECT_LE(std::abs(truncated), 1);
    sum += uniform;
    square += uniform * uniform;
    normal_sum += normal;
    normal_square += normal * normal;
    truncated_square += truncated * truncated;
    product += normal * random.normal(sample, 3);
    inside += std::abs(normal) < 2 ? 1 : 0;
  }
  // Four standard errors: 1/sqrt(12 n), sqrt(4/45 / n), 1/sqrt(n), sqrt(2/n), and of the truncated square
  // below sqrt(0.08/n). Its mean is 1 - 2 phi(1)/(2 Phi(1) - 1) = 0.29112.
  const double error = 4 / std::sqrt(static_cast<double>(samples));
  EXPECT_NEAR(sum / samples, 0.5, error * std::sqrt(1.0 / 12));
  EXPECT_NEAR(square / samples, 1.0 / 3, error * std::sqrt(4.0 / 45));
  EXPECT_NEAR(normal_sum / samples, 0, error);
  EXPECT_NEAR(normal_square / samples, 1, error * std::sqrt(2.0));
  EXPECT_NEAR(truncated_square / samples, 0.29112, error * std::sqrt(0.08));
  EXPECT_NEAR(product / samples, 0, error) << "streams are independent";
  // 95.45 % lie within two standard deviations.
  EXPECT_NEAR(inside / static_cast<double>(samples), 0.9545, error * std::sqrt(0.9545 * 0.0455));
}

TEST(CounterRandom, EveryPlaceHasItsOwnNumber) {
  std::set<double> seen;
  for (std::uint64_t seed : {0, 1})
    for (std::uint64_t sample : {std::uint64_t{0}, std::uint64_t{1}, std::uint64_t{1} << 32})
      for (std::uint32_t stream : {0, 1})
        for (std::uint32_t index : {0, 1, 2})
          EXPECT_TRUE(seen.insert(CounterRandom(seed).uniform(sample, stream, index)).second);
  EXPECT_EQ(seen.size(), 36U);
}

TEST(CounterRandom, IsTheSameInAnyOrderOfTheWork) {
  const CounterRandom random(12);
  std::vector<double> one_by_one(1000), together(1000);
  for (std::size_t i = one_by_one.size(); i-- > 0;) one_by_one[i] = random.normal(i, 4, 1);
  parallel_for(together.size(), [&](std::size_t i) { together[i] = random.normal(i, 4, 1); });
  EXPECT_EQ(one_by_one, together);
}

TEST(NormalQuantile, MirrorsToTheLastBit) {
  for (double share : {0.001, 0.125, 0.25, 0.375, 0.4375})
    EXPECT_EQ(normal_quantile(1 - share), -normal_quantile(1 - (1 - share))) << share;
  EXPECT_EQ(normal_quantile(0.5), 0);
}

}  // namespace
}  // namespace cabinfield
