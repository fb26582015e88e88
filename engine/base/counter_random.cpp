#include "base/counter_random.h"

#include <Random123/philox.h>

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
  const philox4x32_ctr_t bits =
      philox4x32_R(10, {{counter[0], counter[1], counter[2], counter[3]}}, {{key[0], key[1]}});
  return {bits.v[0], bits.v[1], bits.v[2], bits.v[3]};
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
  // Computed from the nearer tail, so that mirror images have equal magnitudes to the last bit.
  const double tail = std::min(share, 1 - share);
  const double size = std::numbers::sqrt2 * boost::math::erfc_inv(2 * tail);
  return share < 0.5 ? -size : size;
}

double normal_share(double value) { return 0.5 * std::erfc(-value / std::numbers::sqrt2); }

}  // namespace cabinfield
