#include "system/channel_assignment.h"

#include <gtest/gtest.h>

#include <functional>
#include <optional>
#include <stdexcept>

namespace cabinfield {
namespace {

/// Numbers that look thrown, the same each time.
class Dice {
 public:
  explicit Dice(unsigned seed) : state_(seed) {}
  int to(int most) {
    state_ = state_ * 1664525U + 1013904223U;
    return static_cast<int>((state_ >> 8U) % static_cast<unsigned>(most + 1));
  }

 private:
  unsigned state_;
};

Assignment by_brute_force(const std::vector<OutputOptions>& options, const std::vector<OutputOffer>& offers) {
  std::optional<Assignment> best;
  std::vector<OutputChoice> choice(options.size());
  // Outputs by number: each lone one first, then two a pair.
  std::vector<std::vector<bool>> taken;
  for (const OutputOffer& offer : offers) taken.emplace_back(static_cast<std::size_t>(offer.outputs), false);
  std::function<void(std::size_t)> place = [&](std::size_t w) {
    if (w == options.size()) {
      const Assignment found = judged(options, offers, choice);
      if (!best || better(found, *best)) best = found;
      return;
    }
    choice[w] = {};
    place(w + 1);
    for (std::size_t u = 0; u < offers.size(); ++u)
      for (bool bridged : {false, true}) {
        if (!((bridged ? offers[u].bridged_power_w[w] : offers[u].power_w[w]) > 0)) continue;
        const std::size_t lone = static_cast<std::size_t>(offers[u].outputs - 2 * offers[u].pairs);
        for (std::size_t o = bridged ? lone : 0; o < taken[u].size(); o += bridged ? 2 : 1) {
          if (taken[u][o] || (bridged && taken[u][o + 1])) continue;
          taken[u][o] = true;
          if (bridged) taken[u][o + 1] = true;
          choice[w] = {static_cast<int>(u), bridged};
          place(w + 1);
          taken[u][o] = false;
          if (bridged) taken[u][o + 1] = false;
        }
      }
    choice[w] = {};
  };
  place(0);
  return *best;
}

TEST(ChannelAssignment, IsTheBestThatBruteForceFinds) {
  for (unsigned seed = 1; seed <= 300; ++seed) {
    Dice dice(seed);
    std::vector<OutputOptions> options(static_cast<std::size_t>(1 + dice.to(4)));
    for (OutputOptions& one : options) one.power_w = 20 * (1 + dice.to(20));
    std::vector<OutputOffer> offers(static_cast<std::size_t>(1 + dice.to(2)));
    for (auto& offer : offers) {
      offer.outputs = 1 + dice.to(3);
      offer.pairs = dice.to(offer.outputs / 2);
      const int power = 30 * (1 + dice.to(8));
      for (std::size_t w = 0; w < options.size(); ++w) {
        offer.power_w.push_back(dice.to(5) == 0 ? 0 : power + 5 * dice.to(3));
        offer.bridged_power_w.push_back(dice.to(3) == 0 ? 0 : 3 * power);
      }
    }
    const Assignment found = propose_assignment(options, offers), best = by_brute_force(options, offers);
    EXPECT_FALSE(better(best, found)) << "seed " << seed;
    EXPECT_FALSE(better(found, best)) << "seed " << seed;
    EXPECT_EQ(found.missing, best.missing) << "seed " << seed;
    EXPECT_EQ(found.units, best.units) << "seed " << seed;
  }
}

TEST(ChannelAssignment, OneUnitIsBetterThanTwoAndTheSmallerOneThanTheLarger) {
  const std::vector<OutputOptions> options{{"left", 4, 60}, {"right", 4, 60}};
  auto unit = [](const char* name, int outputs, double power_w) {
    return OutputOffer{name, outputs, 0, 2, 4, {power_w, power_w}, {0, 0}};
  };
  const Assignment found =
      propose_assignment(options, {unit("one", 1, 60), unit("big", 4, 200), unit("two", 2, 70)});
  EXPECT_EQ(found.units, 1);
  EXPECT_EQ(found.choice[0].unit, 2);
  EXPECT_EQ(found.choice[1].unit, 2);
  EXPECT_DOUBLE_EQ(found.spare_w, 20);
}

TEST(ChannelAssignment, AnotherUnitIsBetterThanTooLittlePower) {
  const std::vector<OutputOptions> options{{"sub", 4, 200}, {"mid", 4, 50}};
  const Assignment found = propose_assignment(
      options, {{"small", 2, 0, 2, 4, {50, 50}, {0, 0}}, {"large", 1, 0, 2, 4, {200, 200}, {0, 0}}});
  EXPECT_EQ(found.units, 2);
  EXPECT_EQ(found.choice[0].unit, 1);
  EXPECT_EQ(found.choice[1].unit, 0);
}

TEST(ChannelAssignment, BridgesWherePowerIsMissing) {
  const std::vector<OutputOptions> options{{"sub", 4, 400}};
  const Assignment found = propose_assignment(options, {{"amp", 2, 1, 2, 4, {90}, {280}}});
  EXPECT_TRUE(found.choice[0].bridged);
  EXPECT_DOUBLE_EQ(found.short_w, 120);
  // Within 1 dB of what is wished for, one channel will do.
  EXPECT_FALSE(propose_assignment({{"mid", 4, 100}}, {{"amp", 2, 1, 2, 4, {90}, {280}}}).choice[0].bridged);
}

TEST(ChannelAssignment, TwoOutputsThatAreNoPairAreNotBridged) {
  const std::vector<OutputOptions> options{{"sub", 4, 400}};
  EXPECT_FALSE(propose_assignment(options, {{"amp", 2, 0, 2, 4, {90}, {280}}}).choice[0].bridged);
  // A lone output and a pair: the midbass takes the lone one, and the pair stays whole.
  const Assignment both =
      propose_assignment({{"mid", 4, 90}, {"sub", 4, 280}}, {{"amp", 3, 1, 2, 4, {90, 90}, {280, 280}}});
  EXPECT_FALSE(both.choice[0].bridged);
  EXPECT_TRUE(both.choice[1].bridged);
  EXPECT_DOUBLE_EQ(both.short_w, 0);
}

// Neighbours, 1 and 2, 3 and 4 (common practice, no source).
TEST(FreeOutputs, PairsAreNeighbours) {
  EXPECT_TRUE(is_pair(1, 2));
  EXPECT_TRUE(is_pair(4, 3));
  EXPECT_FALSE(is_pair(2, 3));
  EXPECT_FALSE(is_pair(1, 4));
  EXPECT_FALSE(is_pair(1, 1));
  FreeOutputs free(5, true);
  EXPECT_EQ(free.pairs(), 2) << "the fifth stands alone";
  EXPECT_EQ(free.next(0), 1);
  EXPECT_EQ(free.next(2), 5) << "the one that breaks no pair";
  EXPECT_EQ(free.next_pair(), 1);
  free.take(1);
  EXPECT_EQ(free.count(), 4);
  EXPECT_EQ(free.next_pair(), 3);
  EXPECT_EQ(free.next(1), 2);
  free.take(3);
  EXPECT_EQ(free.pairs(), 0);
  EXPECT_EQ(free.next_pair(), 0);
  EXPECT_EQ(FreeOutputs(4, false).pairs(), 0);
}

TEST(ChannelAssignment, TellsWhatIsMissing) {
  const std::vector<OutputOptions> options{{"a", 4, 50}, {"b", 4, 50}, {"c", 1, 50}};
  const Assignment found = propose_assignment(options, {{"amp", 4, 0, 2, 4, {90, 90, 0}, {0, 0, 0}}});
  EXPECT_EQ(found.missing, 1);
  EXPECT_EQ(found.choice[2].unit, -1);
  EXPECT_EQ(propose_assignment(options, {}).missing, 3);
  EXPECT_THROW(propose_assignment(options, std::vector<OutputOffer>(13)), std::invalid_argument);
}

}  // namespace
}  // namespace cabinfield
