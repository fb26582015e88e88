#include "listening/interaural.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <complex>
#include <limits>
#include <utility>

#include "base/wavenumber.h"
#include "listening/arrival.h"
#include "listening/bands.h"
#include "listening/sphere_head.h"

namespace cabinfield {
namespace {

// Lags a period of the highest frequency: fine enough to miss no peak and to start Newton's method.
constexpr double lags_per_period = 32;
constexpr double longest_step_hz = 0.5 / longest_interaural_lag_s;
// Time differences of one and the same field agree to this, s.
constexpr double time_resolution_s = 1e-6;
constexpr int degrees_in_scale = 90;

// Weight of each frequency in an integral over the range with linear interpolation; empty where the
// frequencies do not suffice.
std::vector<double> weights_over(std::span<const double> frequency_hz, FrequencyRange range) {
  std::vector<double> weight(frequency_hz.size(), 0.0);
  double covered_hz = 0;
  for (std::size_t i = 0; i + 1 < frequency_hz.size(); ++i) {
    const double low = frequency_hz[i], high = frequency_hz[i + 1];
    const double from = std::max(low, range.low_hz), to = std::min(high, range.high_hz);
    if (to <= from) continue;
    if (high - low > longest_step_hz) return {};
    const double towards_high = (0.5 * (from + to) - low) / (high - low);
    weight[i] += (to - from) * (1 - towards_high);
    weight[i + 1] += (to - from) * towards_high;
    covered_hz += to - from;
  }
  if (covered_hz < 0.5 * (range.high_hz - range.low_hz)) return {};
  return weight;
}

// Cross-correlation of two ears over the lag, before division by their energies.
class CrossCorrelation {
 public:
  /// Rad/s, and R L* df in real and imaginary parts.
  CrossCorrelation(Eigen::ArrayXd angular_frequency, Eigen::ArrayXd real, Eigen::ArrayXd imaginary)
      : angular_frequency_(std::move(angular_frequency)),
        real_(std::move(real)),
        imaginary_(std::move(imaginary)) {}

  // At -steps to steps times the step. Both signs of a lag share their sums, so that ears of opposite
  // polarity give both the same value to the last bit.
  std::vector<double> sampled(int steps, double step_s) const {
    const Eigen::ArrayXd turn_cosine = (angular_frequency_ * step_s).cos();
    const Eigen::ArrayXd turn_sine = (angular_frequency_ * step_s).sin();
    Eigen::ArrayXd cosine = Eigen::ArrayXd::Ones(real_.size());
    Eigen::ArrayXd sine = Eigen::ArrayXd::Zero(real_.size());
    std::vector<double> value(2 * steps + 1);
    for (int k = 0; k <= steps; ++k) {
      const double even = (real_ * cosine).sum(), odd = (imaginary_ * sine).sum();
      value[steps + k] = even + odd;
      value[steps - k] = even - odd;
      const Eigen::ArrayXd next_cosine = cosine * turn_cosine - sine * turn_sine;
      sine = cosine * turn_sine + sine * turn_cosine;
      cosine = next_cosine;
    }
    return value;
  }

  struct Peak {
    double lag_s = 0, value = 0;
  };
  // Newton's method, limited to a step around the start and to the largest lag; a value that still rises
  // there is the peak.
  Peak peak_near(double start_s, double step_s) const {
    const double least_s = std::max(start_s - step_s, -longest_interaural_lag_s);
    const double most_s = std::min(start_s + step_s, longest_interaural_lag_s);
    double lag_s = start_s;
    for (int iteration = 0;; ++iteration) {
      const Eigen::ArrayXd cosine = (angular_frequency_ * lag_s).cos();
      const Eigen::ArrayXd sine = (angular_frequency_ * lag_s).sin();
      const Eigen::ArrayXd turned = real_ * cosine + imaginary_ * sine;
      const double slope = (angular_frequency_ * (imaginary_ * cosine - real_ * sine)).sum();
      const double curvature = -(angular_frequency_.square() * turned).sum();
      const double move_s = curvature < 0 ? -slope / curvature : 0;
      const double next_s = std::clamp(lag_s + move_s, least_s, most_s);
      if (iteration == most_iterations || std::abs(next_s - lag_s) < settled_s) return {lag_s, turned.sum()};
      lag_s = next_s;
    }
  }

 private:
  static constexpr int most_iterations = 8;
  static constexpr double settled_s = 1e-12;
  Eigen::ArrayXd angular_frequency_, real_, imaginary_;
};

CrossCorrelation::Peak highest_peak(const CrossCorrelation& correlation, double highest_hz) {
  const int steps = static_cast<int>(std::ceil(lags_per_period * highest_hz * longest_interaural_lag_s));
  const double step_s = longest_interaural_lag_s / steps;
  const std::vector<double> value = correlation.sampled(steps, step_s);

  CrossCorrelation::Peak best{0, -std::numeric_limits<double>::infinity()};
  auto consider = [&](int k) {
    const double here = value[steps + k];
    if ((k > -steps && value[steps + k - 1] > here) || (k < steps && value[steps + k + 1] > here)) return;
    const CrossCorrelation::Peak peak = correlation.peak_near(k * step_s, step_s);
    if (peak.value > best.value) best = peak;
  };
  consider(0);
  for (int k = 1; k <= steps; ++k) {
    consider(k);
    consider(-k);
  }
  return best;
}

}  // namespace

std::optional<InterauralTime> interaural_time(std::span<const double> frequency_hz,
                                              std::span<const Complex> left, std::span<const Complex> right,
                                              FrequencyRange range) {
  assert(left.size() == frequency_hz.size() && right.size() == frequency_hz.size());
  const std::vector<double> weight = weights_over(frequency_hz, range);
  std::vector<std::size_t> used;
  for (std::size_t i = 0; i < weight.size(); ++i)
    if (weight[i] > 0) used.push_back(i);

  const Eigen::Index count = static_cast<Eigen::Index>(used.size());
  Eigen::ArrayXd angular_frequency(count), real(count), imaginary(count);
  double energy_left = 0, energy_right = 0;
  for (Eigen::Index row = 0; row < count; ++row) {
    const std::size_t i = used[row];
    energy_left += weight[i] * std::norm(left[i]);
    energy_right += weight[i] * std::norm(right[i]);
    const Complex cross = weight[i] * right[i] * std::conj(left[i]);
    angular_frequency[row] = 2 * pi * frequency_hz[i];
    real[row] = cross.real();
    imaginary[row] = cross.imag();
  }
  const double scale = std::sqrt(energy_left) * std::sqrt(energy_right);
  if (!(scale > 0 && std::isfinite(scale))) return std::nullopt;
  const double highest_hz = frequency_hz[used.back()];
  const CrossCorrelation correlation(std::move(angular_frequency), std::move(real), std::move(imaginary));
  const CrossCorrelation::Peak peak = highest_peak(correlation, highest_hz);
  return InterauralTime{peak.lag_s, std::min(peak.value / scale, 1.0)};
}

std::optional<double> interaural_level_db(std::span<const double> frequency_hz, std::span<const Complex> left,
                                          std::span<const Complex> right, FrequencyRange range) {
  assert(left.size() == frequency_hz.size() && right.size() == frequency_hz.size());
  auto mean_square = [&](std::span<const Complex> ear) {
    std::vector<double> square;
    for (const Complex& pressure : ear) square.push_back(std::norm(pressure));
    return band_mean_square(frequency_hz, square, range.low_hz, range.high_hz);
  };
  const std::optional<double> of_left = mean_square(left), of_right = mean_square(right);
  if (!of_left || !of_right || !(*of_left > 0 && *of_right > 0)) return std::nullopt;
  return 10 * std::log10(*of_right / *of_left);
}

SideAngleScale::SideAngleScale(std::vector<double> difference_s) : difference_s_(std::move(difference_s)) {
  // A table that falls again just below 90 degrees is inverted at the first angle that reaches a value.
  for (std::size_t i = 1; i < difference_s_.size(); ++i)
    difference_s_[i] = std::max(difference_s_[i], difference_s_[i - 1]);
}

std::optional<SideAngleScale> SideAngleScale::of_sphere(std::span<const double> frequency_hz,
                                                        double sound_speed_m_s, double radius_m,
                                                        FrequencyRange range) {
  // Frequencies in the range and the next on either side of it; others do not matter.
  auto first = std::upper_bound(frequency_hz.begin(), frequency_hz.end(), range.low_hz),
       last = std::lower_bound(frequency_hz.begin(), frequency_hz.end(), range.high_hz);
  if (first != frequency_hz.begin()) --first;
  if (last != frequency_hz.end()) ++last;
  if (first >= last) return std::nullopt;
  frequency_hz = {first, last};
  const std::vector<double> wavenumber = wavenumbers_at(frequency_hz, sound_speed_m_s);
  const SphereHead head(wavenumber, radius_m);
  std::vector<Complex> left(wavenumber.size()), right(wavenumber.size());
  std::vector<double> difference_s;
  for (int degree = 0; degree <= degrees_in_scale; ++degree) {
    const double side_angle = degree * pi / 180;
    head.evaluate(pi / 2 + side_angle, left);
    head.evaluate(pi / 2 - side_angle, right);
    const std::optional<InterauralTime> time = interaural_time(frequency_hz, left, right, range);
    if (!time) return std::nullopt;
    difference_s.push_back(time->difference_s);
  }
  return SideAngleScale(std::move(difference_s));
}

SideAngleScale SideAngleScale::of_free_ears(double sound_speed_m_s, double radius_m) {
  std::vector<double> difference_s;
  for (int degree = 0; degree <= degrees_in_scale; ++degree)
    difference_s.push_back(2 * radius_m * std::sin(degree * pi / 180) / sound_speed_m_s);
  return SideAngleScale(std::move(difference_s));
}

SideAngleScale SideAngleScale::of_wave_front(double sound_speed_m_s, double radius_m) {
  std::vector<double> difference_s;
  for (int degree = 0; degree <= degrees_in_scale; ++degree)
    difference_s.push_back(woodworth_itd_s(degree * pi / 180, radius_m, sound_speed_m_s));
  return SideAngleScale(std::move(difference_s));
}

SideAngle SideAngleScale::at(double difference_s) const {
  const double size_s = std::abs(difference_s);
  const auto above = std::lower_bound(difference_s_.begin(), difference_s_.end(), size_s);
  if (above == difference_s_.end())
    return {std::copysign(degrees_in_scale, difference_s), size_s > difference_s_.back() + time_resolution_s};
  if (above == difference_s_.begin()) return {0, false};
  const double below_s = *(above - 1);
  const double degree =
      static_cast<double>(above - difference_s_.begin() - 1) + (size_s - below_s) / (*above - below_s);
  return {std::copysign(degree, difference_s), false};
}

}  // namespace cabinfield
