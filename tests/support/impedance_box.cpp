#include "support/impedance_box.h"

#include <Eigen/Eigenvalues>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "base/constants.h"

namespace cabinfield::test {
namespace {

constexpr Complex j{0, 1};
enum class Parity { even, odd };

/// Characteristic function of kappa^2 and its derivative.
struct Characteristic {
  double half;
  Complex wall;
  Parity parity;

  std::pair<Complex, Complex> at(Complex square) const {
    const Complex kappa = std::sqrt(square);
    const Complex x = kappa * half;
    const bool small = std::abs(x) < 1e-2;
    const Complex cosine = std::cos(x);
    const Complex x2 = x * x;
    // sin(x)/kappa and its derivative by kappa, over kappa.
    const Complex s = half * (small ? 1.0 - x2 / 6.0 * (1.0 - x2 / 20.0) : std::sin(x) / x);
    const Complex ds = half * half * half *
                       (small ? -1.0 / 3.0 + x2 / 30.0 * (1.0 - x2 / 28.0) : (cosine - std::sin(x) / x) / x2);
    if (parity == Parity::even)
      return {square * s - j * wall * cosine, 0.5 * (s + half * cosine + j * wall * half * s)};
    return {cosine + j * wall * s, 0.5 * (-half * s + j * wall * ds)};
  }
};

/// Eigenvalues of -d2/dt2 between the middle and a wall.
std::vector<Complex> collocated(double half, Complex wall, Parity parity, int degree) {
  const int n = degree;
  Eigen::VectorXd x(n + 1);
  for (int i = 0; i <= n; ++i) x[i] = std::cos(pi * i / n);
  Eigen::MatrixXd d(n + 1, n + 1);
  for (int i = 0; i <= n; ++i)
    for (int m = 0; m <= n; ++m) {
      if (i == m) continue;
      const double weight = (i == 0 || i == n ? 2.0 : 1.0) / (m == 0 || m == n ? 2.0 : 1.0);
      // cos a - cos b as a product, free of cancellation.
      const double difference = -2 * std::sin(pi * (i + m) / (2.0 * n)) * std::sin(pi * (i - m) / (2.0 * n));
      d(i, m) = weight * ((i + m) % 2 ? -1.0 : 1.0) / difference;
    }
  for (int i = 0; i <= n; ++i) {
    d(i, i) = 0;
    d(i, i) = -d.row(i).sum();
  }
  d *= 2 / half;  // x = 1 is the wall, x = -1 the middle
  const Eigen::MatrixXcd second = (d * d).cast<Complex>();
  Eigen::Matrix2cd ends;
  ends << d(0, 0) + j * wall, d(0, n), d(n, 0), d(n, n);
  Eigen::MatrixXcd inner(2, n - 1);
  inner.row(0) = d.row(0).segment(1, n - 1).cast<Complex>();
  inner.row(1) = d.row(n).segment(1, n - 1).cast<Complex>();
  if (parity == Parity::odd) {
    ends.row(1) << 0, 1;
    inner.row(1).setZero();
  }
  Eigen::MatrixXcd outer(n - 1, 2);
  outer << second.col(0).segment(1, n - 1), second.col(n).segment(1, n - 1);
  const Eigen::MatrixXcd matrix = -(second.block(1, 1, n - 1, n - 1) - outer * ends.inverse() * inner);
  const Eigen::VectorXcd values = Eigen::ComplexEigenSolver<Eigen::MatrixXcd>(matrix, false).eigenvalues();
  return {values.begin(), values.end()};
}

/// Zeros within a circle around the origin of the kappa^2 plane: how often the function winds around 0 on it.
int zeros_within(const Characteristic& function, double radius, int about) {
  const int steps = 400 * (about + 2);
  double turned = 0;
  Complex before = function.at(radius).first;
  for (int i = 1; i <= steps; ++i) {
    const Complex now = function.at(std::polar(radius, 2 * pi * i / steps)).first;
    const double turn = std::arg(now / before);
    if (!(std::abs(turn) < 1)) throw std::runtime_error("a root lies on the circle that counts them");
    turned += turn;
    before = now;
  }
  return static_cast<int>(std::lround(turned / (2 * pi)));
}

std::vector<Complex> roots(double half, Complex wall, Parity parity, int count) {
  const Characteristic function{half, wall, parity};
  std::vector<Complex> root = collocated(half, wall, parity, 2 * count + 20);
  const auto nearer = [](Complex a, Complex b) { return std::abs(a) < std::abs(b); };
  std::sort(root.begin(), root.end(), nearer);
  root.resize(count + 2);
  for (Complex& square : root)
    for (int step = 0; step < 20; ++step) {
      const auto [value, slope] = function.at(square);
      square -= value / slope;
      if (std::abs(value / slope) <= 1e-15 * (std::abs(square) + 1 / (half * half))) break;
    }
  std::sort(root.begin(), root.end(), nearer);
  for (std::size_t a = 0; a < root.size(); ++a)
    for (std::size_t b = 0; b < a; ++b)
      if (std::abs(root[a] - root[b]) < 1e-6 / (half * half))
        throw std::runtime_error("two roots of the wall equation coincide");
  const double between = std::sqrt(std::abs(root[count - 1]) * std::abs(root[count]));
  root.resize(count);
  if (zeros_within(function, between, count) != count)
    throw std::runtime_error("a root of the wall equation is missing");
  return root;
}

/// One term of the expansion across: shape at source times shape at ear over its square's integral.
struct ModeShare {
  Complex square, share;
};

std::vector<ModeShare> shares(double length, Complex wall, int count, double source, double ear) {
  const WallModes modes = wall_modes(length, wall, count);
  const double half = length / 2;
  std::vector<ModeShare> all;
  for (Complex square : modes.even) {
    const Complex kappa = std::sqrt(square);
    const Complex x = 2.0 * kappa * half;
    const Complex norm = half * (1.0 + (std::abs(x) < 1e-8 ? 1.0 : std::sin(x) / x));
    all.push_back({square, std::cos(kappa * (source - half)) * std::cos(kappa * (ear - half)) / norm});
  }
  for (Complex square : modes.odd) {
    const Complex kappa = std::sqrt(square);
    const Complex x = 2.0 * kappa * half;
    const Complex norm = half * (1.0 - std::sin(x) / x);
    all.push_back({square, std::sin(kappa * (source - half)) * std::sin(kappa * (ear - half)) / norm});
  }
  return all;
}

/// g'' + gamma^2 g = -delta(z - source) between two walls: direct wave and the images of one axis, summed.
Complex between_walls(Complex gamma, double length, Complex wall, double source, double ear) {
  const Complex reflection = (gamma - wall) / (gamma + wall);
  const auto wave = [&](double way) { return std::exp(-j * gamma * way); };
  const double apart = std::abs(ear - source);
  const Complex sum = wave(apart) + reflection * (wave(source + ear) + wave(2 * length - source - ear)) +
                      reflection * reflection * wave(2 * length - apart);
  return sum / (1.0 - reflection * reflection * wave(2 * length)) / (2.0 * j * gamma);
}

}  // namespace

WallModes wall_modes(double length_m, Complex wall_wavenumber, int count) {
  return {roots(length_m / 2, wall_wavenumber, Parity::even, count),
          roots(length_m / 2, wall_wavenumber, Parity::odd, count)};
}

Complex impedance_box_pressure(const Vector3& size_m, Complex specific_admittance, const Air& air,
                               double frequency_hz, const Vector3& source, const Vector3& ear) {
  int along = 0;
  const double apart = (ear - source).cwiseAbs().maxCoeff(&along);
  if (!(apart >= 0.05)) throw std::invalid_argument("source and ear are less than 5 cm apart on every axis");
  const double k = 2 * pi * frequency_hz / air.sound_speed_m_s;
  const Complex wall = k * specific_admittance;
  // exp(-36) is rounding.
  const double highest = k + 36 / apart;
  const auto across = [&](int axis) {
    const int count = static_cast<int>(std::ceil(highest * size_m[axis] / (2 * pi))) + 3;
    return shares(size_m[axis], wall, count, source[axis], ear[axis]);
  };
  const auto first = across((along + 1) % 3);
  const auto second = across((along + 2) % 3);
  Complex sum = 0;
  for (const ModeShare& m : first)
    for (const ModeShare& n : second) {
      Complex gamma = std::sqrt(k * k - m.square - n.square);
      if (gamma.imag() > 0) gamma = -gamma;
      sum += m.share * n.share * between_walls(gamma, size_m[along], wall, source[along], ear[along]);
    }
  return j * (2 * pi * frequency_hz) * air.density_kg_m3 * sum;
}

}  // namespace cabinfield::test
