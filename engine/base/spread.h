// Uncertainty of a number, and its value in a Monte Carlo sample.
//
// Conventions. "+- A" is a normal distribution with a standard deviation of A/2: 95 in 100 are within +-A
// (the expanded uncertainty of JCGM 100:2008, 6.2 and 6.3, coverage factor 2), truncated at 1.5 A: a tape
// accurate to 10 mm is never off by more than 15 mm. "a factor of B" is the same for the logarithm: 95 in 100
// are between 1/B and B times the value. "from A to B" is uniform (JCGM 100:2008, 4.3.7), whatever the value
// itself.
#pragma once

#include <cmath>
#include <optional>
#include <string>

#include "base/counter_random.h"

namespace cabinfield {

enum class SpreadKind {
  plus_minus,  ///< size in the value's unit: +-10 mm, +-1 dB
  relative,    ///< size as a fraction of the value: +-15 % is 0.15
  factor,      ///< size is the factor, 1 or more
  range        ///< from low to high
};

struct Spread {
  SpreadKind kind = SpreadKind::plus_minus;
  double size = 0;
  double low = 0, high = 0;  ///< of a range
};

inline constexpr double standard_deviations_of_plus_minus = 2;
/// Samples are truncated at this many standard deviations.
inline constexpr double longest_standard_deviations = 3;

/// Position of a sample in its distribution; several numbers may share one (both drivers of a pair).
struct SpreadSample {
  double uniform = 0.5;  ///< 0 to 1
  double normal = 0;     ///< standard deviations
};
inline SpreadSample spread_sample(const CounterRandom& random, std::uint64_t sample, std::uint32_t stream,
                                  std::uint32_t index = 0) {
  return {random.uniform(sample, stream, index),
          random.truncated_normal(longest_standard_deviations, sample, stream, index)};
}

/// The sampled value. A spread of zero size (a factor of 1) gives the value itself, to the last bit.
inline double sampled(const Spread& spread, double value, const SpreadSample& sample) {
  const double part = sample.normal / standard_deviations_of_plus_minus;
  switch (spread.kind) {
    case SpreadKind::plus_minus:
      return value + spread.size * part;
    case SpreadKind::relative:
      return value * (1 + spread.size * part);
    case SpreadKind::factor:
      return value * std::exp(std::log(spread.size) * part);
    case SpreadKind::range:
      return spread.low + (spread.high - spread.low) * sample.uniform;
  }
  return value;
}

/// The error in a spread, or empty.
inline std::optional<std::string> spread_problem(const Spread& spread) {
  switch (spread.kind) {
    case SpreadKind::plus_minus:
      if (!(spread.size >= 0 && std::isfinite(spread.size))) return "a spread must be 0 or more";
      break;
    case SpreadKind::relative:
      // The farthest sample is 1.5 times the size away.
      if (!(spread.size >= 0 &&
            spread.size < standard_deviations_of_plus_minus / longest_standard_deviations))
        return "a spread in percent must be at least 0 and below 66.7 %, so that no sample reaches 0; "
               "give a factor for more";
      break;
    case SpreadKind::factor:
      if (!(spread.size >= 1 && std::isfinite(spread.size))) return "a factor must be 1 or more";
      break;
    case SpreadKind::range:
      if (!(std::isfinite(spread.low) && spread.low <= spread.high && std::isfinite(spread.high)))
        return "a range must not end below its start";
      break;
  }
  return std::nullopt;
}

}  // namespace cabinfield
