#include "listening/verdict.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numeric>
#include <utility>

namespace cabinfield {

bool better_score(const Score& a, const Score& b) {
  if (a.broken != b.broken) return a.broken < b.broken;
  if (std::isnan(a.points) || std::isnan(b.points)) return !std::isnan(a.points) && std::isnan(b.points);
  return a.points > b.points;
}

std::vector<std::size_t> ranking(std::span<const Score> scores) {
  std::vector<std::size_t> order(scores.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return better_score(scores[a], scores[b]); });
  return order;
}

SampleVerdict::SampleVerdict(std::size_t samples, std::vector<Score> present)
    : present_(std::move(present)), best_(samples) {
  assert(present_.empty() || present_.size() == samples);
}

std::size_t SampleVerdict::add(std::size_t variant, std::span<const Score> scores) {
  assert(scores.size() == best_.size());
  std::size_t beaten = 0;
  for (std::size_t d = 0; d < scores.size(); ++d) {
    consider(d, {variant, scores[d]});
    if (!present_.empty() && better_score(scores[d], present_[d])) ++beaten;
  }
  return beaten;
}

void SampleVerdict::merge(const SampleVerdict& other) {
  assert(other.best_.size() == best_.size());
  for (std::size_t d = 0; d < best_.size(); ++d) consider(d, other.best_[d]);
}

void SampleVerdict::consider(std::size_t sample, const Best& candidate) {
  Best& best = best_[sample];
  if (candidate.variant == nobody) return;
  if (best.variant == nobody || better_score(candidate.score, best.score) ||
      (!better_score(best.score, candidate.score) && candidate.variant < best.variant))
    best = candidate;
}

std::vector<std::size_t> SampleVerdict::times_best(std::size_t variants) const {
  std::vector<std::size_t> times(variants, 0);
  for (const Best& best : best_)
    if (best.variant < variants) ++times[best.variant];
  return times;
}

}  // namespace cabinfield
