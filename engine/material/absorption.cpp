#include "material/absorption.h"

#include <cmath>
#include <iterator>
#include <limits>
#include <numeric>
#include <stdexcept>

namespace cabinfield {
namespace {

using Band = std::pair<const double, double>;  // Hz, beta

double between(const Band& lower, const Band& upper, double frequency_hz) {
  const double share = std::log(frequency_hz / lower.first) / std::log(upper.first / lower.first);
  if (lower.second == 0 || upper.second == 0) return std::lerp(lower.second, upper.second, share);
  return std::exp(std::lerp(std::log(lower.second), std::log(upper.second), share));
}

double admittance_at(const std::map<double, double>& beta_of_band, double frequency_hz) {
  const Band& lowest = *beta_of_band.begin();
  if (frequency_hz <= lowest.first) return lowest.second * (frequency_hz / lowest.first);
  const auto upper = beta_of_band.lower_bound(frequency_hz);
  if (upper == beta_of_band.end()) return beta_of_band.rbegin()->second;
  if (upper->first == frequency_hz) return upper->second;
  return between(*std::prev(upper), *upper, frequency_hz);
}

}  // namespace

double random_incidence_absorption(double zeta) {
  if (zeta < 0.1) {
    // The closed form cancels here; its power series 8 sum (-1)^n (n+1)/(n+3) zeta^(n+1) converges in 16
    // terms.
    double sum = 0;
    double power = zeta;
    for (int n = 0; n < 16; ++n, power *= -zeta) sum += (n + 1.0) / (n + 3.0) * power;
    return 8.0 * sum;
  }
  return 8.0 / (zeta * zeta) * (1.0 + zeta - 1.0 / (1.0 + zeta) - 2.0 * std::log1p(zeta));
}

double specific_impedance_of_absorption(double absorption) {
  if (absorption <= 0) return std::numeric_limits<double>::infinity();
  if (absorption >= greatest_real_absorption) return specific_impedance_at_greatest_absorption;
  // alpha falls with zeta above its maximum, and stays below 8/zeta. Bisection, because the slope vanishes at
  // the maximum.
  double lower = specific_impedance_at_greatest_absorption;
  double upper = 8.0 / absorption;
  while (true) {
    const double middle = std::midpoint(lower, upper);
    if (middle <= lower || middle >= upper) return middle;
    (random_incidence_absorption(middle) > absorption ? lower : upper) = middle;
  }
}

std::vector<double> absorption_admittance(const AbsorptionTable& table,
                                          const std::vector<double>& frequency_hz) {
  if (table.empty()) throw std::invalid_argument("an absorption table needs at least one band");
  std::map<double, double> beta_of_band;
  for (const auto& [band_hz, absorption] : table) {
    if (!(band_hz > 0 && std::isfinite(band_hz)))
      throw std::invalid_argument("an absorption band must be above 0 Hz");
    if (!(absorption >= 0 && absorption <= 1))
      throw std::invalid_argument("an absorption coefficient is outside 0 to 1");
    beta_of_band[band_hz] = 1.0 / specific_impedance_of_absorption(absorption);
  }
  std::vector<double> beta;
  beta.reserve(frequency_hz.size());
  for (double frequency : frequency_hz) beta.push_back(admittance_at(beta_of_band, frequency));
  return beta;
}

}  // namespace cabinfield
