#include "base/minimum_phase.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "base/constants.h"

namespace cabinfield {
namespace {

/// sum x^(2n+1)/(2n+1)^2 for 0 <= x <= sqrt 2 - 1: the last term is 1e-18 of the first.
double chi_series(double x) {
  constexpr int terms = 20;
  double sum = 0, power = x;
  for (int n = 0; n < terms; ++n, power *= x * x) sum += power / ((2 * n + 1) * (2 * n + 1));
  return sum;
}

/// int_0^u ln coth(t/2) dt, odd in u. Near 0 by chi_2((1-x)/(1+x)) + chi_2(x) = pi^2/8 + 1/2 ln x
/// ln((1+x)/(1-x)) with x = tanh(u/2), which avoids cancellation.
double weight_integral(double u) {
  const double size = std::abs(u);
  if (size == 0) return 0;
  const double x = std::tanh(size / 2);
  const double value =
      x < 0.41421356 ? 2 * chi_series(x) - size * std::log(x) : pi * pi / 4 - 2 * chi_series(std::exp(-size));
  return std::copysign(value, u);
}

}  // namespace

MinimumPhaseGain::MinimumPhaseGain(std::vector<double> frequency_hz, std::vector<double> gain_db)
    : gain_db_(std::move(gain_db)) {
  if (frequency_hz.empty() || frequency_hz.size() != gain_db_.size())
    throw std::invalid_argument("a gain over frequency needs at least one frequency, and one gain for each");
  double last = 0;
  for (std::size_t i = 0; i < frequency_hz.size(); ++i) {
    if (!(frequency_hz[i] > last) || !std::isfinite(frequency_hz[i]) || !std::isfinite(gain_db_[i]))
      throw std::invalid_argument(
          "a gain over frequency needs ascending frequencies above 0 and finite gains");
    last = frequency_hz[i];
    log_frequency_.push_back(std::log(last));
  }
}

double MinimumPhaseGain::gain_db(double frequency_hz) const {
  const double at = std::log(frequency_hz);
  const auto above = std::upper_bound(log_frequency_.begin(), log_frequency_.end(), at);
  if (above == log_frequency_.begin()) return gain_db_.front();
  if (above == log_frequency_.end()) return gain_db_.back();
  const auto i = static_cast<std::size_t>(above - log_frequency_.begin());
  const double share = (at - log_frequency_[i - 1]) / (log_frequency_[i] - log_frequency_[i - 1]);
  return gain_db_[i - 1] + share * (gain_db_[i] - gain_db_[i - 1]);
}

double MinimumPhaseGain::phase_rad(double frequency_hz) const {
  const double at = std::log(frequency_hz);
  double sum = 0, before = weight_integral(log_frequency_.front() - at);
  for (std::size_t i = 1; i < gain_db_.size(); ++i) {
    const double here = weight_integral(log_frequency_[i] - at);
    sum += (gain_db_[i] - gain_db_[i - 1]) / (log_frequency_[i] - log_frequency_[i - 1]) * (here - before);
    before = here;
  }
  return sum * std::log(10.0) / 20 / pi;
}

Complex MinimumPhaseGain::operator()(double frequency_hz) const {
  return std::polar(std::pow(10, gain_db(frequency_hz) / 20), phase_rad(frequency_hz));
}

}  // namespace cabinfield
