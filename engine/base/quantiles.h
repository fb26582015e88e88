// Order statistics of a few values: the median, and the 10th to 90th percentile.
#pragma once

#include <cstddef>
#include <span>

namespace cabinfield {

/// Quantile of Hyndman and Fan's type 7 (Am. Stat. 50 (1996) 361): linear between the neighbours of rank
/// share (n - 1), the default of numpy.quantile. Reorders the values; at least one, none NaN; 0 <= share
/// <= 1.
double quantile(std::span<double> values, double share);

/// Percentiles of one number over Monte Carlo samples.
struct SampleBand {
  double low = 0, median = 0, high = 0;  ///< 10 %, 50 %, 90 %; NaN if no sample has a value
  std::size_t known = 0;                 ///< samples with a value (not NaN)
};
/// Reorders the values.
SampleBand sample_band(std::span<double> values);

}  // namespace cabinfield
