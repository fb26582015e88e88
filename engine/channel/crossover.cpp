#include "channel/crossover.h"

#include <fmt/format.h>

#include <Eigen/Eigenvalues>
#include <cmath>
#include <limits>
#include <numeric>
#include <stdexcept>

#include "base/constants.h"

namespace cabinfield {
namespace {

// Poles of a low pass that is -3.01 dB at 1 rad/s: conjugate pairs by their modulus and Q, and real ones.
struct Prototype {
  struct Pair {
    double modulus;
    double q;
  };
  std::vector<Pair> pairs;
  std::vector<double> reals;  // moduli
};

Prototype butterworth_prototype(int order) {
  Prototype prototype;
  for (int k = 0; k < order / 2; ++k)
    prototype.pairs.push_back({1.0, 0.5 / std::sin(pi * (2 * k + 1) / (2.0 * order))});
  if (order % 2 == 1) prototype.reals.push_back(1.0);
  return prototype;
}

Prototype linkwitz_riley_prototype(int order) {
  const Prototype half = butterworth_prototype(order / 2);
  Prototype prototype = half;
  prototype.pairs.insert(prototype.pairs.end(), half.pairs.begin(), half.pairs.end());
  prototype.reals.clear();
  if (!half.reals.empty()) prototype.pairs.push_back({1.0, 0.5});  // two equal real poles
  return prototype;
}

// Coefficients of theta_n from the constant term up; exact in double for these orders.
Eigen::VectorXd reverse_bessel_polynomial(int order) {
  Eigen::VectorXd coefficients(order + 1);
  coefficients[order] = 1.0;
  // a_(k-1)/a_k = (2n - k + 1) k / (2 (n - k + 1))
  for (int k = order; k > 0; --k)
    coefficients[k - 1] = coefficients[k] * ((2 * order - k + 1) * k) / (2.0 * (order - k + 1));
  return coefficients;
}

Complex evaluate(const Eigen::VectorXd& coefficients, Complex s) {
  Complex value = 0;
  for (Eigen::Index k = coefficients.size(); k-- > 0;) value = value * s + coefficients[k];
  return value;
}

Complex polished_root(const Eigen::VectorXd& coefficients, Complex root) {
  Eigen::VectorXd derivative(coefficients.size() - 1);
  for (Eigen::Index k = 0; k < derivative.size(); ++k)
    derivative[k] = static_cast<double>(k + 1) * coefficients[k + 1];
  for (int step = 0; step < 3; ++step) root -= evaluate(coefficients, root) / evaluate(derivative, root);
  return root;
}

// Frequency, rad/s, at which |theta_n(0)/theta_n(j omega)|^2 has fallen to one half.
double half_power_frequency(const Eigen::VectorXd& coefficients) {
  double lower = 0.5;
  double upper = 8.0;
  while (true) {
    const double middle = std::midpoint(lower, upper);
    if (middle <= lower || middle >= upper) return middle;
    const double gain = std::norm(coefficients[0] / evaluate(coefficients, Complex(0, middle)));
    (gain > 0.5 ? lower : upper) = middle;
  }
}

Prototype bessel_prototype(int order) {
  const Eigen::VectorXd coefficients = reverse_bessel_polynomial(order);
  const double half_power = half_power_frequency(coefficients);
  Eigen::MatrixXd companion = Eigen::MatrixXd::Zero(order, order);
  companion.diagonal(-1).setOnes();
  companion.col(order - 1) = -coefficients.head(order);
  const Eigen::VectorXcd roots = companion.eigenvalues();

  Prototype prototype;
  for (const Complex& rough : roots) {
    if (rough.imag() < 0) continue;
    const Complex root = polished_root(coefficients, rough);
    const double modulus = std::abs(root);
    if (rough.imag() > 0)
      prototype.pairs.push_back({modulus / half_power, -0.5 * modulus / root.real()});
    else
      prototype.reals.push_back(modulus / half_power);
  }
  return prototype;
}

Prototype prototype_of(CrossoverFamily family, int order) {
  switch (family) {
    case CrossoverFamily::butterworth:
      return butterworth_prototype(order);
    case CrossoverFamily::linkwitz_riley:
      return linkwitz_riley_prototype(order);
    case CrossoverFamily::bessel:
      return bessel_prototype(order);
  }
  throw std::invalid_argument("unknown crossover family");
}

// k^2 (low pass) or s^2 (high pass) over s^2 + s k/q + k^2, with s = (1 - z^-1)/(1 + z^-1).
Biquad second_order(CrossoverSide side, double k, double q) {
  const double scale = 1.0 / (1.0 + k / q + k * k);
  const double b = (side == CrossoverSide::lowpass ? k * k : 1.0) * scale;
  const double sign = side == CrossoverSide::lowpass ? 1.0 : -1.0;
  return {b, 2.0 * sign * b, b, 2.0 * (k * k - 1.0) * scale, (1.0 - k / q + k * k) * scale};
}

// k (low pass) or s (high pass) over s + k.
Biquad first_order(CrossoverSide side, double k) {
  const double scale = 1.0 / (1.0 + k);
  const double b = (side == CrossoverSide::lowpass ? k : 1.0) * scale;
  const double sign = side == CrossoverSide::lowpass ? 1.0 : -1.0;
  return {b, sign * b, 0.0, (k - 1.0) * scale, 0.0};
}

}  // namespace

bool has_order(CrossoverFamily family, int order) {
  if (order < 1 || order > greatest_crossover_order) return false;
  return family != CrossoverFamily::linkwitz_riley || order % 2 == 0;
}

std::vector<Biquad> crossover_sections(const Crossover& crossover, CrossoverSide side,
                                       double sample_rate_hz) {
  require_corner_below_half_rate(crossover.frequency_hz, sample_rate_hz);
  if (!has_order(crossover.family, crossover.order))
    throw std::invalid_argument(
        fmt::format("order {} is outside 1 to {}{}", crossover.order, greatest_crossover_order,
                    crossover.family == CrossoverFamily::linkwitz_riley ? ", even" : ""));
  const double corner = std::tan(pi * crossover.frequency_hz / sample_rate_hz);
  const auto located = [&](double modulus) {
    return side == CrossoverSide::lowpass ? corner * modulus : corner / modulus;
  };
  const Prototype prototype = prototype_of(crossover.family, crossover.order);
  std::vector<Biquad> sections;
  for (const auto& [modulus, q] : prototype.pairs)
    sections.push_back(second_order(side, located(modulus), q));
  for (double modulus : prototype.reals) sections.push_back(first_order(side, located(modulus)));
  return sections;
}

}  // namespace cabinfield
