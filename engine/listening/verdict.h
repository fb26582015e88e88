// Which variant is best, and how sure that is.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "listening/judge.h"

namespace cabinfield {

/// Variants that break fewer limits come first, then those with more points; a score without points (NaN)
/// comes after any with them. Neither is better where they are alike.
bool better_score(const Score& a, const Score& b);

/// Indices of the variants from the best to the worst; alike ones keep the order of their indices.
std::vector<std::size_t> ranking(std::span<const Score> scores);

/// Counts over draws, fed one variant at a time, in any order and in any parts (`merge`): the outcome is the
/// same. Holds a few numbers a draw and nothing a variant, however many there are.
class SampleVerdict {
 public:
  /// Scores [draws] of the present variant, against which others are held; empty where there is none.
  SampleVerdict(std::size_t samples, std::vector<Score> present);

  /// Takes up a variant's scores, one a draw; returns in how many draws it beats the present one (alike is
  /// not beaten).
  std::size_t add(std::size_t variant, std::span<const Score> scores);
  /// Takes up what another of the same draws and present one has seen.
  void merge(const SampleVerdict& other);

  static constexpr std::size_t nobody = SIZE_MAX;
  struct Best {
    std::size_t variant = nobody;
    Score score;
  };
  /// [draws] the best seen in each; of alike ones that with the lowest index.
  const std::vector<Best>& best() const { return best_; }
  /// In how many draws each of the variants 0 .. variants - 1 is the best; a draw has one best.
  std::vector<std::size_t> times_best(std::size_t variants) const;

 private:
  void consider(std::size_t sample, const Best& candidate);

  std::vector<Score> present_;
  std::vector<Best> best_;
};

}  // namespace cabinfield
