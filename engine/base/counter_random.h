// Counter-based random numbers: each is a pure function of its indices, so samples do not depend on the order
// of the work or the number of threads.
//
// Philox 4x32-10: J. K. Salmon, M. A. Moraes, R. O. Dror, D. E. Shaw, "Parallel random numbers: as easy as 1,
// 2, 3", SC'11 (2011), doi 10.1145/2063384.2063405. 128 bits of counter and 64 bits of key give 128 bits, by
// the authors' library Random123; statistically tested by them, not for cryptography.
#pragma once

#include <array>
#include <cstdint>

namespace cabinfield {

std::array<std::uint32_t, 4> philox_4x32_10(std::array<std::uint32_t, 4> counter,
                                            std::array<std::uint32_t, 2> key);

/// The numbers of one seed. `sample` is the Monte Carlo sample, `stream` the uncertain quantity, `index` one
/// of its numbers (three for a position). Different streams and samples are independent.
class CounterRandom {
 public:
  explicit CounterRandom(std::uint64_t seed) : seed_(seed) {}

  /// Uniform in the open interval (0, 1): (n + 1/2)/2^52 for n of 52 bits, so that 1 - u is exactly
  /// representable and equally likely.
  double uniform(std::uint64_t sample, std::uint32_t stream, std::uint32_t index = 0) const;
  /// Standard normal, the inverse of the distribution at `uniform`: within +-8.3.
  double normal(std::uint64_t sample, std::uint32_t stream, std::uint32_t index = 0) const;
  /// Standard normal conditioned on +-`limit` (above 0), by inversion: no sample is rejected.
  double truncated_normal(double limit, std::uint64_t sample, std::uint32_t stream,
                          std::uint32_t index = 0) const;

 private:
  std::uint64_t seed_;
};

/// The value below which a share of the standard normal distribution lies; 0 < share < 1.
double normal_quantile(double share);
/// The share of the standard normal distribution below a value.
double normal_share(double value);

}  // namespace cabinfield
