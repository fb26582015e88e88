#include "base/counter_random.h"

#include <algorithm>
#include <boost/math/special_functions/erf.hpp>
#include <cassert>
#include <cmath>
#include <numbers>

namespace cabinfield {
namespace {

std::uint32_t high_half(std::uint64_t product) { return static_cast<std::uint32_t>(product >> 32); }
std::uint32_t low_half(std::uint64_t product) { return static_cast<std::uint32_t>(product & 0xffffffffU); }

}  // namespace

std::array<std::uint32_t, 4> philox_4x32_10(std::array<std::uint32_t, 4> counter,
                                            std::array<std::uint32_t, 2> key) {
  // Salmon et al., section 3.3: multipliers of the rounds; the key grows by the golden ratio and sqrt(3) - 1.
  constexpr std::uint64_t multiplier_0 = 0xD2511F53, multiplier_1 = 0xCD9E8D57;
  constexpr std::uint32_t growth_0 = 0x9E3779B9, growth_1 = 0xBB67AE85;
  constexpr int rounds = 10;
  for (int round = 0; round < rounds; ++round) {
    const std::uint64_t product_0 = multiplier_0 * counter[0], product_1 = multiplier_1 * counter[2];
    counter = {high_half(product_1) ^ counter[1] ^ key[0], low_half(product_1),
               high_half(product_0) ^ counter[3] ^ key[1], low_half(product_0)};
    key = {key[0] + growth_0, key[1] + growth_1};
  }
  return counter;
}

double CounterRandom::uniform(std::uint64_t sample, std::uint32_t stream, std::uint32_t index) const {
  const auto bits = philox_4x32_10({low_half(sample), high_half(sample), stream, index},
                                   {low_half(seed_), high_half(seed_)});
  const std::uint64_t whole = (std::uint64_t{bits[0]} << 20) | (bits[1] >> 12);
  return (static_cast<double>(whole) + 0.5) * 0x1p-52;
}

double CounterRandom::normal(std::uint64_t sample, std::uint32_t stream, std::uint32_t index) const {
  return normal_quantile(uniform(sample, stream, index));
}

double CounterRandom::truncated_normal(double limit, std::uint64_t sample, std::uint32_t stream,
                                       std::uint32_t index) const {
  assert(limit > 0);
  const double outside = normal_share(-limit);
  const double share = outside + (1 - 2 * outside) * uniform(sample, stream, index);
  return std::clamp(normal_quantile(share), -limit, limit);
}

double normal_quantile(double share) {
  assert(share > 0 && share < 1);
  // From the nearer tail, so that the mirror image has the same value to the last bit.
  const double tail = std::min(share, 1 - share);
  const double size = std::numbers::sqrt2 * boost::math::erfc_inv(2 * tail);
  return share < 0.5 ? -size : size;
}

double normal_share(double value) { return 0.5 * std::erfc(-value / std::numbers::sqrt2); }

}  // namespace cabinfield
