#include "base/quantiles.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>

namespace cabinfield {
namespace {

double between_ranks(std::span<const double> sorted, double share) {
  const double rank = share * static_cast<double>(sorted.size() - 1);
  const std::size_t below = std::min(static_cast<std::size_t>(rank), sorted.size() - 1);
  const std::size_t above = std::min(below + 1, sorted.size() - 1);
  const double part = rank - static_cast<double>(below);
  // Equal neighbours give their value to the last bit, infinite ones included.
  if (part == 0 || sorted[below] == sorted[above]) return sorted[below];
  return sorted[below] + part * (sorted[above] - sorted[below]);
}

}  // namespace

double quantile(std::span<double> values, double share) {
  assert(!values.empty() && share >= 0 && share <= 1);
  std::sort(values.begin(), values.end());
  return between_ranks(values, share);
}

SampleBand sample_band(std::span<double> values) {
  const auto end = std::partition(values.begin(), values.end(), [](double one) { return !std::isnan(one); });
  const std::span<double> known(values.begin(), end);
  if (known.empty()) {
    constexpr double none = std::numeric_limits<double>::quiet_NaN();
    return {none, none, none, 0};
  }
  std::sort(known.begin(), known.end());
  return {between_ranks(known, 0.1), between_ranks(known, 0.5), between_ranks(known, 0.9), known.size()};
}

}  // namespace cabinfield
