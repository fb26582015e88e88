// A complex function of angle, even about 0 and pi, tabulated for many frequencies at once.
#pragma once

#include <Eigen/Core>
#include <algorithm>
#include <cassert>
#include <span>

#include "base/vector.h"

namespace cabinfield {

/// Cubic (Lagrange) interpolation over the columns of a table: column 0 is angle 0, the last is pi, evenly
/// spaced; at least two. `share` is the angle over pi, clamped to 0 .. 1. Writes one value per row to
/// `values`, [rows].
inline void interpolate_even_angle(const Eigen::MatrixXcd& table, double share, std::span<Complex> values) {
  assert(static_cast<Eigen::Index>(values.size()) == table.rows());
  const Eigen::Index intervals = table.cols() - 1;
  const double position = std::clamp(share, 0.0, 1.0) * static_cast<double>(intervals);
  const Eigen::Index left = std::min(static_cast<Eigen::Index>(position), intervals - 1);
  const double t = position - static_cast<double>(left);
  // Beyond a pole the function is mirrored.
  const Eigen::Index outer_left = left == 0 ? 1 : left - 1;
  const Eigen::Index outer_right = left + 2 > intervals ? intervals - 1 : left + 2;
  Eigen::Map<Eigen::VectorXcd>(values.data(), table.rows()) =
      table.col(outer_left) * (-t * (t - 1) * (t - 2) / 6) +
      table.col(left) * ((t + 1) * (t - 1) * (t - 2) / 2) +
      table.col(left + 1) * (-(t + 1) * t * (t - 2) / 2) +
      table.col(outer_right) * ((t + 1) * t * (t - 1) / 6);
}

}  // namespace cabinfield
