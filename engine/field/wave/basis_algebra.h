// Dense algebra of a few hundred columns, each as long as the cabin has unknowns, and of the small systems
// that they lead to. BLAS and LAPACK, one thread a call, since threads within BLAS change the last bits; long
// columns are worked on in pieces that do not depend on the number of threads.
#pragma once

#include <Eigen/Core>
#include <vector>

#include "base/vector.h"
#include "field/wave/wave_matrices.h"

namespace cabinfield {

/// One thread a call of BLAS from here on, in the whole process.
void pin_blas();

/// a^T b.
Eigen::MatrixXd transposed_product(const BasisMatrix& a, const BasisMatrix& b);
/// a m.
BasisMatrix product(const BasisMatrix& a, const Eigen::MatrixXd& m);

/// Columns that span the same, orthonormal; directions whose singular value is below `least_singular` of the
/// largest (columns made unit vectors first) are left out as rounding. Throws SolverFailure.
BasisMatrix orthonormalised(BasisMatrix raw, double least_singular);

/// All of them in one, none empty.
BasisMatrix side_by_side(const std::vector<Eigen::Ref<const BasisMatrix>>& parts);
/// Real and imaginary parts side by side.
BasisMatrix parted(const Eigen::MatrixXcd& basis_vectors);

/// Solves in place; false where the matrix is singular.
bool solve_dense(Eigen::MatrixXcd matrix, Eigen::MatrixXcd& right_hand_side);

/// A matrix factored once, for many right-hand sides.
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
