// Random numbers by counter: each is a pure function of where it belongs, so draws are the same for any order
// of the work and any number of threads.
//
// Philox 4x32-10: J. K. Salmon, M. A. Moraes, R. O. Dror, D. E. Shaw, "Parallel random numbers: as easy as 1,
// 2, 3", SC'11 (2011), doi 10.1145/2063384.2063405. 128 bits of counter and 64 bits of key give 128 bits;
// statistically tested by its authors, not for secrets.
#pragma once

#include <array>
#include <cstdint>

namespace cabinfield {

std::array<std::uint32_t, 4> philox_4x32_10(std::array<std::uint32_t, 4> counter,
                                            std::array<std::uint32_t, 2> key);

/// The numbers of one seed. `draw` counts the draws, `stream` the uncertain things that are drawn, `index`
/// the numbers that one of them takes (three for a position). Other streams and other draws are independent.
class CounterRandom {
 public:
  explicit CounterRandom(std::uint64_t seed) : seed_(seed) {}

  /// Between 0 and 1, neither included: (n + 1/2)/2^52 for n of 52 bits, so the mirror image 1 - u may come
  /// up as well, and exactly.
  double uniform(std::uint64_t sample, std::uint32_t stream, std::uint32_t index = 0) const;
  /// Mean 0, standard deviation 1, by the inverse of the normal distribution at `uniform`: within +-8.3.
  double normal(std::uint64_t sample, std::uint32_t stream, std::uint32_t index = 0) const;
  /// The same, conditioned to lie within +-`limit` (above 0): no draw is thrown away, each is moved inwards.
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
