#include "base/legendre.h"

namespace cabinfield {

Eigen::MatrixXd legendre_polynomials(Eigen::Index orders, const Eigen::ArrayXd& argument) {
  Eigen::MatrixXd polynomial = Eigen::MatrixXd::Ones(orders, argument.size());
  for (Eigen::Index n = 1; n < orders; ++n) {
    const double order = static_cast<double>(n);
    polynomial.row(n) = (2 - 1 / order) * argument.transpose() * polynomial.row(n - 1).array();
    if (n > 1) polynomial.row(n) -= (1 - 1 / order) * polynomial.row(n - 2);
  }
  return polynomial;
}

}  // namespace cabinfield
