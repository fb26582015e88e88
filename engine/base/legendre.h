// Legendre polynomials, of which the fields of spheres are series.
#pragma once

#include <Eigen/Core>

namespace cabinfield {

/// P_n(x) for n = 0 .. orders - 1 by Bonnet's recurrence, n P_n = (2n - 1) x P_(n-1) - (n - 1) P_(n-2)
/// (Abramowitz & Stegun, 22.7.10, from memory). [orders, arguments]
Eigen::MatrixXd legendre_polynomials(Eigen::Index orders, const Eigen::ArrayXd& argument);

}  // namespace cabinfield
