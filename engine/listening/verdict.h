// Ranking of variants, and its certainty over Monte Carlo samples.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "listening/judge.h"

namespace cabinfield {

/// Fewer broken limits are better, then more points; a score without points (NaN) comes last. False for equal
/// scores.
bool better_score(const Score& a, const Score& b);

/// Indices of the variants from best to worst; equal ones in the order of their indices.
std::vector<std::size_t> ranking(std::span<const Score> scores);

/// Counts over samples. Variants are added one at a time, in any order and in any parts (`merge`), with the
/// same result. Stores a few numbers a sample and nothing a variant.
class SampleVerdict {
 public:
  /// Scores [samples] of the present variant, with which others are compared; empty without one.
  SampleVerdict(std::size_t samples, std::vector<Score> present);

  /// Adds a variant's scores, one a sample; returns in how many samples it beats the present variant (equal
  /// does not count).
  std::size_t add(std::size_t variant, std::span<const Score> scores);
  /// Adds the variants of another verdict with the same samples and present variant.
  void merge(const SampleVerdict& other);

  static constexpr std::size_t nobody = SIZE_MAX;
  struct Best {
    std::size_t variant = nobody;
    Score score;
  };
  /// [samples] the best of each; of equal ones that with the lowest index.
  const std::vector<Best>& best() const { return best_; }
  /// In how many samples each of the variants 0 .. variants - 1 is the best; each sample has one best.
  std::vector<std::size_t> times_best(std::size_t variants) const;

 private:
  void consider(std::size_t sample, const Best& candidate);

  std::vector<Score> present_;
  std::vector<Best> best_;
};

}  // namespace cabinfield
