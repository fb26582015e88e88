#include "system/loudness.h"

#include <cmath>
#include <limits>

namespace cabinfield {
namespace {

constexpr double f1 = 20.598997, f2 = 107.65265, f3 = 737.86223, f4 = 12194.217;

double c_gain(double f) { return f4 * f4 * f * f / ((f * f + f1 * f1) * (f * f + f4 * f4)); }
double a_gain(double f) { return c_gain(f) * f * f / std::sqrt((f * f + f2 * f2) * (f * f + f3 * f3)); }

}  // namespace

double a_weight_db(double frequency_hz) { return 20 * std::log10(a_gain(frequency_hz) / a_gain(1000)); }
double c_weight_db(double frequency_hz) { return 20 * std::log10(c_gain(frequency_hz) / c_gain(1000)); }

double weighted_sum_db(const std::vector<double>& band_db, const std::vector<double>& middle_hz,
                       Weighting weighting) {
  double sum = 0;
  for (std::size_t b = 0; b < band_db.size(); ++b) {
    if (!(band_db[b] > -200)) continue;
    const double weight = weighting == Weighting::a   ? a_weight_db(middle_hz[b])
                          : weighting == Weighting::c ? c_weight_db(middle_hz[b])
                                                      : 0;
    sum += std::pow(10, (band_db[b] + weight) / 10);
  }
  return sum > 0 ? 10 * std::log10(sum) : -std::numeric_limits<double>::infinity();
}

double exposure_hours(double level_dba) { return 8 * std::pow(2, (85 - level_dba) / 3); }

}  // namespace cabinfield
