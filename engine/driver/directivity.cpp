#include "driver/directivity.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <complex>
#include <stdexcept>
#include <utility>

#include "base/constants.h"
#include "base/even_angle_table.h"
#include "base/legendre.h"

namespace cabinfield {
namespace {

// Taylor series of f(x) = 2 J1(x)/x about the middle of each interval. f is the Fourier transform of a
// semicircle, so its eighth derivative stays below 7/128: eight terms within 1/4 of the centre have an error
// below 0.25^8/8! * 7/128 = 2e-11.
constexpr int terms = 8;
constexpr double intervals_per_unit = 2;
constexpr int interval_count = 128;
constexpr double last_position = interval_count * (1 - 1e-15);

using PistonTable = std::array<std::array<double, terms>, interval_count>;

PistonTable make_piston_table() {
  PistonTable table{};
  for (int interval = 0; interval < interval_count; ++interval) {
    const double x = (interval + 0.5) / intervals_per_unit;
    auto& c = table[interval];
    c[0] = 2 * std::cyl_bessel_j(1, x) / x;
    c[1] = -2 * std::cyl_bessel_j(2, x) / x;
    // From x f'' + 3 f' + x f = 0, order by order.
    for (int n = 0; n + 2 < terms; ++n)
      c[n + 2] =
          -((n + 1) * (n + 3) * c[n + 1] + x * c[n] + (n > 0 ? c[n - 1] : 0)) / (x * (n + 2) * (n + 1));
  }
  return table;
}

double piston_directivity_from_library(double x) { return 2 * std::cyl_bessel_j(1, x) / x; }

// The sphere's series ends where its terms fall below this even for the smallest piston.
constexpr double negligible = 1e-14;
// Steps in angle per radian and unit of k b. The phase of D changes by at most about 2 k b radians per radian
// of angle where |D| is large, and cubic interpolation has an error of at most 3/128 of the fourth power of
// the phase of a step (measured: 2e-4).
constexpr double steps_per_wavenumber_radius = 2.5;
constexpr int fewest_intervals = 40;
// Below this k b the sphere has no effect to 1e-9.
constexpr double vanishing_sphere = 1e-9;

// Radiation of each order n of the radial velocity, j^n (2n + 1)/(j x^2 h_n'(x)), with x = k b and h_n the
// spherical Hankel function of the second kind. The upward recurrence loses the smaller real part of h_n for
// n > x, but never more than a rounding error of |h_n|, which is all that matters here.
std::vector<Complex> radiation_of_orders(double x) {
  const Complex j(0, 1);
  if (x < vanishing_sphere) return {1.0};
  std::vector<Complex> radiated;
  Complex before = std::polar(1.0, -x) / x;      // h_{-1} = -j h_0
  Complex hankel = j * std::polar(1.0, -x) / x;  // h_0
  Complex power = 1;
  for (int n = 0;; ++n) {
    const Complex derivative = before - (n + 1) / x * hankel;
    radiated.push_back(power * (2.0 * n + 1) / (j * x * x * derivative));
    if (n > x && std::abs(radiated.back()) < negligible) return radiated;
    const Complex after = (2 * n + 1) / x * hankel - before;
    before = hankel;
    hankel = after;
    power *= j;
  }
}

struct Quadrature {
  Eigen::ArrayXd node, weight;
};

// Gauss-Legendre quadrature between two limits, nodes by Newton's method (Press et al., Numerical
// Recipes, 4.6).
Quadrature gauss_legendre(Eigen::Index points, double from, double to) {
  Quadrature rule{Eigen::ArrayXd(points), Eigen::ArrayXd(points)};
  const double count = static_cast<double>(points);
  for (Eigen::Index i = 0; i < points; ++i) {
    double node = std::cos(pi * (static_cast<double>(i) + 0.75) / (count + 0.5));
    double slope = 1;
    for (int step = 0; step < 8; ++step) {
      double before = 1, current = node;
      for (double n = 2; n <= count; ++n)
        before = std::exchange(current, ((2 * n - 1) * node * current - (n - 1) * before) / n);
      slope = count * (node * current - before) / (node * node - 1);
      node -= current / slope;
    }
    rule.node[i] = from + (to - from) * (1 + node) / 2;
    rule.weight[i] = (to - from) / ((1 - node * node) * slope * slope);
  }
  return rule;
}

}  // namespace

void piston_directivity(double radius_m, double sine_psi, std::span<const double> wavenumber_per_m,
                        std::span<double> directivity) {
  assert(wavenumber_per_m.size() == directivity.size());
  static const PistonTable table = make_piston_table();
  const double scale = radius_m * std::abs(sine_psi);
  const std::size_t count = wavenumber_per_m.size();
  const double* wavenumber = wavenumber_per_m.data();
  double* result = directivity.data();

  int beyond = 0;
  for (std::size_t i = 0; i < count; ++i) {
    // Limited to the end of the table, so that the index needs no check.
    const double uncut = wavenumber[i] * (scale * intervals_per_unit);
    beyond |= uncut > last_position;
    const double position = uncut < last_position ? uncut : last_position;
    const int interval = static_cast<int>(position);
    const double t = (position - interval) * (1 / intervals_per_unit) - 0.5 / intervals_per_unit;
    const double* c = table[interval].data();
    const double t2 = t * t;
    const double low = (c[0] + c[1] * t) + (c[2] + c[3] * t) * t2;
    const double high = (c[4] + c[5] * t) + (c[6] + c[7] * t) * t2;
    result[i] = low + high * (t2 * t2);
  }
  if (!beyond) return;
  for (std::size_t i = 0; i < count; ++i)
    if (wavenumber[i] * (scale * intervals_per_unit) > last_position)
      result[i] = piston_directivity_from_library(wavenumber[i] * scale);
}

SpherePistonDirectivity::SpherePistonDirectivity(double piston_radius_m, double pod_radius_m,
                                                 const std::vector<double>& wavenumber_per_m) {
  if (!(piston_radius_m > 0 && piston_radius_m <= pod_radius_m && std::isfinite(pod_radius_m)))
    throw std::invalid_argument("a piston in a sphere needs 0 < piston radius <= pod radius");
  double largest = 0;
  for (double wavenumber : wavenumber_per_m) {
    if (!(wavenumber >= 0 && std::isfinite(wavenumber)))
      throw std::invalid_argument("a wavenumber must be 0 or above");
    largest = std::max(largest, wavenumber * pod_radius_m);
  }
  intervals_ =
      std::max(fewest_intervals, static_cast<int>(std::ceil(pi * steps_per_wavenumber_radius * largest)));

  const double cap_angle = std::asin(piston_radius_m / pod_radius_m);
  const double cap_height = 2 * std::pow(std::sin(cap_angle / 2), 2);
  const double cap_cosine = 1 - cap_height;

  const Eigen::Index wavenumbers = static_cast<Eigen::Index>(wavenumber_per_m.size());
  std::vector<std::vector<Complex>> radiated;
  Eigen::Index orders = 1;
  for (double wavenumber : wavenumber_per_m) {
    radiated.push_back(radiation_of_orders(wavenumber * pod_radius_m));
    orders = std::max(orders, static_cast<Eigen::Index>(radiated.back().size()));
  }

  // Share of each order in the piston's velocity, over that of order 0 as f -> 0. Points enough for the
  // fastest wave over the cap, of order and of phase together. Real and imaginary parts are rows of their
  // own: sums are real products.
  const double waves = static_cast<double>(orders) * cap_angle + largest * cap_height;
  const Quadrature cap = gauss_legendre(24 + static_cast<Eigen::Index>(waves), cap_cosine, 1);
  Eigen::MatrixXd velocity(2 * wavenumbers, cap.node.size());
  const Eigen::ArrayXd axial = cap.weight * cap.node / (cap.weight * cap.node).sum();
  for (Eigen::Index row = 0; row < wavenumbers; ++row) {
    const Eigen::ArrayXd phase = wavenumber_per_m[row] * pod_radius_m * (cap.node - cap_cosine);
    velocity.row(2 * row) = axial * phase.cos();
    velocity.row(2 * row + 1) = -axial * phase.sin();
  }
  Eigen::MatrixXd coefficient = velocity * legendre_polynomials(orders, cap.node).transpose();
  for (Eigen::Index row = 0; row < wavenumbers; ++row)
    for (Eigen::Index n = 0; n < orders; ++n) {
      const bool counts = n < static_cast<Eigen::Index>(radiated[row].size());
      const Complex share(coefficient(2 * row, n), coefficient(2 * row + 1, n));
      const Complex product = counts ? radiated[row][n] * share : 0.0;
      coefficient(2 * row, n) = product.real();
      coefficient(2 * row + 1, n) = product.imag();
    }

  const Eigen::ArrayXd cosine = Eigen::ArrayXd::LinSpaced(intervals_ + 1, 0, pi).cos();
  const Eigen::MatrixXd far_field = coefficient * legendre_polynomials(orders, cosine);
  table_.resize(wavenumbers, intervals_ + 1);
  for (Eigen::Index column = 0; column <= intervals_; ++column)
    for (Eigen::Index row = 0; row < wavenumbers; ++row) {
      const double piston_depth = wavenumber_per_m[row] * pod_radius_m * cap_cosine * cosine[column];
      table_(row, column) = Complex(far_field(2 * row, column), far_field(2 * row + 1, column)) *
                            std::polar(1.0, -piston_depth);
    }
}

void SpherePistonDirectivity::evaluate(double psi_rad, std::span<Complex> directivity) const {
  interpolate_even_angle(table_, psi_rad / pi, directivity);
}

}  // namespace cabinfield
