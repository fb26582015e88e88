#include "support/plate_opening.h"

#include <Eigen/Cholesky>
#include <Eigen/Core>
#include <array>
#include <cmath>
#include <stdexcept>
#include <vector>

#include "base/constants.h"

namespace cabinfield::test {
namespace {

constexpr int functions = 5;  // in each direction

/// Overlap of each function with each mode of one direction, [mode, function], and the modes' wavenumbers.
struct Overlaps {
  std::vector<std::array<double, functions>> overlap;
  std::vector<double> square;
  std::vector<double> norm;

  Overlaps(double duct, double centre, double width, std::size_t modes) {
    for (std::size_t m = 0; m < modes; ++m) {
      const double k = static_cast<double>(m) * pi / duct;
      const double s = k * width / 2;
      std::array<double, functions> row{};
      for (int p = 0; p < functions; ++p) {
        const double bessel = pi * width / 2 * std::cyl_bessel_j(p, s);
        const double sign = (p / 2) % 2 ? -1 : 1;
        row[p] = p % 2 ? -sign * bessel * std::sin(k * centre) : sign * bessel * std::cos(k * centre);
      }
      overlap.push_back(row);
      square.push_back(k * k);
      norm.push_back(m == 0 ? duct : duct / 2);
    }
  }
};

}  // namespace

double slit_in_middle_length_m(double open_m, double duct_m) {
  return 2 * duct_m / pi * std::log(1 / std::sin(pi * open_m / (2 * duct_m)));
}

double slit_at_side_length_m(double open_m, double duct_m) {
  // Its mirror image makes it the middle of a duct twice as high.
  return slit_in_middle_length_m(2 * open_m, 2 * duct_m);
}

double round_hole_length_m(double hole_diameter_m, double duct_diameter_m) {
  const double x = hole_diameter_m / duct_diameter_m;
  const double fok =
      1 +
      x * (-1.4092 + x * x * (0.33818 + x * x * (0.06793 + x * (-0.02287 + x * (0.03015 - x * 0.01641)))));
  return pi * hole_diameter_m / 4 * fok / (x * x);
}

double rectangular_opening_length_m(const RectangularOpening& opening, double wavenumber) {
  const double width = opening.duct_width_m, height = opening.duct_height_m;
  const auto modes = [](double duct, double open, double phase) {
    return static_cast<std::size_t>(phase * 2 * duct / (pi * open)) + 1;
  };
  constexpr double phase = 150;
  const std::size_t all_y = modes(width, opening.width_m, phase);
  const std::size_t all_z = modes(height, opening.height_m, phase);
  const std::size_t half_y = modes(width, opening.width_m, phase / 2);
  const std::size_t half_z = modes(height, opening.height_m, phase / 2);
  const Overlaps y(width, opening.centre_y_m, opening.width_m, all_y);
  const Overlaps z(height, opening.centre_z_m, opening.height_m, all_z);

  constexpr int size = functions * functions;
  Eigen::MatrixXd inner = Eigen::MatrixXd::Zero(size, size), outer = inner;
  Eigen::VectorXd flow(size), both(size);
  for (std::size_t m = 0; m < all_y; ++m)
    for (std::size_t n = 0; n < all_z; ++n) {
      for (int p = 0; p < functions; ++p)
        for (int q = 0; q < functions; ++q) both[p * functions + q] = y.overlap[m][p] * z.overlap[n][q];
      if (m == 0 && n == 0) {
        flow = both;
        continue;
      }
      const double decay = y.square[m] + z.square[n] - wavenumber * wavenumber;
      if (!(decay > 0)) throw std::invalid_argument("the duct carries more than the plane wave");
      (m < half_y && n < half_z ? inner : outer)
          .selfadjointView<Eigen::Lower>()
          .rankUpdate(both, 1 / (y.norm[m] * z.norm[n] * std::sqrt(decay)));
    }
  const auto length = [&](const Eigen::MatrixXd& lower) {
    const Eigen::MatrixXd k = lower.selfadjointView<Eigen::Lower>();
    return 2 * width * height / flow.dot(k.ldlt().solve(flow));
  };
  return 2 * length(inner + outer) - length(inner);
}

}  // namespace cabinfield::test
