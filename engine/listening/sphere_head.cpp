#include "listening/sphere_head.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <complex>
#include <stdexcept>

#include "base/even_angle_table.h"
#include "base/legendre.h"

namespace cabinfield {
namespace {

// The series ends where its remainder falls below this.
constexpr double negligible = 1e-13;
// Below this k a the series is constant to 1e-9.
constexpr double vanishing_sphere = 1e-9;
// Steps in angle per radian and unit of k a: H turns at most k a radians of phase per radian of angle, and
// cubic interpolation errs by 3/128 of the fourth power of the phase in a step.
constexpr double steps_per_wavenumber_radius = 2.5;
// Steps in angle per radian over ln(r/a), about the width of the bright spot of a near source.
constexpr double steps_per_spot = 6;
constexpr double fewest_intervals = 60;

// Everything but P_n in the n-th term. Ratios of neighbouring orders, q_n = h_n/h_{n-1}, carry the Hankel
// functions, which by themselves overflow at high orders. Upward, the recurrence loses the smaller real part
// of h_n once n > x, but never more than a rounding of |h_n|, which is all that enters here.
std::vector<Complex> coefficients_of_orders(double wavenumber_radius, double distance_radii) {
  const Complex j(0, 1);
  const double x = std::max(wavenumber_radius, vanishing_sphere);
  const bool far = std::isinf(distance_radii);
  const double remaining = far ? negligible : negligible * (1 - 1 / distance_radii);

  Complex at_surface = j;  // q_0 at x
  Complex at_source = j;   // q_0 at k r; it stays j where k r is beyond all orders
  // h_n(k r)/h_n(x) times (r/a) e^{jkr}; for a far source its limit.
  Complex passed = std::polar(1.0, x);
  std::vector<Complex> coefficient;
  for (double n = 0;; ++n) {
    // -1/(x h_n'(x)) in units of h_n(x).
    coefficient.push_back((2 * n + 1) * passed / ((n + 1) - x / at_surface));
    if (std::abs(coefficient.back()) < remaining) return coefficient;
    at_surface = (2 * n + 1) / x - 1.0 / at_surface;
    if (!far) at_source = (2 * n + 1) / (x * distance_radii) - 1.0 / at_source;
    passed *= at_source / at_surface;
  }
}

}  // namespace

SphereHead::SphereHead(const std::vector<double>& wavenumber_per_m, double radius_m, double distance_m) {
  if (!(radius_m > 0 && std::isfinite(radius_m)))
    throw std::invalid_argument("the radius of a head must be above 0");
  if (!(distance_m >= least_distance_radii * radius_m))
    throw std::invalid_argument("a source must be at least 1.05 radii from the middle of a head");
  double largest = 0;
  for (double wavenumber : wavenumber_per_m) {
    if (!(wavenumber >= 0 && std::isfinite(wavenumber)))
      throw std::invalid_argument("a wavenumber must be 0 or above");
    largest = std::max(largest, wavenumber * radius_m);
  }
  const double distance_radii = distance_m / radius_m;
  const double steps_per_radian =
      std::max(steps_per_wavenumber_radius * largest, steps_per_spot / std::log(distance_radii));
  intervals_ = static_cast<Eigen::Index>(std::max(fewest_intervals, std::ceil(pi * steps_per_radian)));

  const Eigen::Index wavenumbers = static_cast<Eigen::Index>(wavenumber_per_m.size());
  std::vector<std::vector<Complex>> series;
  std::size_t orders = 1;
  for (double wavenumber : wavenumber_per_m) {
    series.push_back(coefficients_of_orders(wavenumber * radius_m, distance_radii));
    orders = std::max(orders, series.back().size());
  }
  // Real and imaginary parts are separate rows, so that the sums are real matrix products.
  Eigen::MatrixXd coefficient = Eigen::MatrixXd::Zero(2 * wavenumbers, static_cast<Eigen::Index>(orders));
  for (Eigen::Index row = 0; row < wavenumbers; ++row)
    for (std::size_t n = 0; n < series[row].size(); ++n) {
      coefficient(2 * row, static_cast<Eigen::Index>(n)) = series[row][n].real();
      coefficient(2 * row + 1, static_cast<Eigen::Index>(n)) = series[row][n].imag();
    }

  const Eigen::ArrayXd cosine = Eigen::ArrayXd::LinSpaced(intervals_ + 1, 0, pi).cos();
  const Eigen::MatrixXd sum = coefficient * legendre_polynomials(coefficient.cols(), cosine);
  table_.resize(wavenumbers, intervals_ + 1);
  for (Eigen::Index column = 0; column <= intervals_; ++column)
    for (Eigen::Index row = 0; row < wavenumbers; ++row)
      table_(row, column) = Complex(sum(2 * row, column), sum(2 * row + 1, column));
}

void SphereHead::evaluate(double angle_rad, std::span<Complex> pressure) const {
  const double folded = std::abs(std::remainder(angle_rad, 2 * pi));
  interpolate_even_angle(table_, folded / pi, pressure);
}

}  // namespace cabinfield
