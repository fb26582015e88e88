// Dense algebra of reduced bases (a few hundred vectors, each as long as the number of degrees of freedom)
// and of the small systems projected on them. BLAS and LAPACK, one thread a call, since threads within BLAS
// change the last bits; long vectors are processed in pieces that do not depend on the number of threads.
#pragma once

#include <Eigen/Core>
#include <vector>

#include "base/vector.h"
#include "field/wave/wave_matrices.h"

namespace cabinfield {

/// Limits BLAS to one thread a call, in the whole process.
void pin_blas();

/// a^T b.
Eigen::MatrixXd transposed_product(const BasisMatrix& a, const BasisMatrix& b);
/// a m.
BasisMatrix product(const BasisMatrix& a, const Eigen::MatrixXd& m);

/// An orthonormal basis of the same span. Directions whose singular value is below `least_singular` of the
/// largest (after normalisation of the vectors) are dropped. Throws SolverFailure.
BasisMatrix orthonormalised(BasisMatrix raw, double least_singular);

/// Joins the columns of non-empty matrices.
BasisMatrix side_by_side(const std::vector<Eigen::Ref<const BasisMatrix>>& parts);
/// Real and imaginary parts side by side.
BasisMatrix parted(const Eigen::MatrixXcd& basis_vectors);

/// Solves in place by LU factorisation; false for a singular matrix.
bool solve_dense(Eigen::MatrixXcd matrix, Eigen::MatrixXcd& right_hand_side);

/// LU factors of a matrix, for many right-hand sides.
class DenseFactors {
 public:
  explicit DenseFactors(Eigen::MatrixXcd matrix);
  bool singular() const { return singular_; }
  Eigen::VectorXcd solve(Eigen::VectorXcd right_hand_side) const;

 private:
  Eigen::MatrixXcd factors_;
  std::vector<int> pivot_;
  bool singular_ = false;
};

}  // namespace cabinfield
