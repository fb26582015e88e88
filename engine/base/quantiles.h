// Order statistics of a few values: the median, and the band in which eight of ten lie.
#pragma once

#include <cstddef>
#include <span>

namespace cabinfield {

/// Hyndman and Fan's type 7 (Am. Stat. 50 (1996) 361), straight between the neighbours of rank share (n - 1),
/// as numpy.quantile has it unless told otherwise. Reorders the values, which are numbers; at least one; 0 <=
/// share <= 1.
double quantile(std::span<double> values, double share);

/// What draws say of one number.
struct SampleBand {
  double low = 0, median = 0, high = 0;  ///< 10 %, 50 %, 90 %; NaN where no draw has a value
  std::size_t known = 0;                 ///< draws that have one (are not NaN)
};
/// Reorders the values.
SampleBand sample_band(std::span<double> values);

}  // namespace cabinfield
