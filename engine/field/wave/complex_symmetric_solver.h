// Sparse direct solution of complex symmetric (not Hermitian) systems: MUMPS, sequential, with METIS
// ordering.
//
// The pattern is analysed once; each set of values is factored separately. One thread, so the same bits every
// time. Pivots are not chosen by size (METIS alone orders them), which saves a third of the time; where the
// residual is too large, the values are factored again in double precision with numerical pivoting.
#pragma once

#include <Eigen/Core>
#include <memory>
#include <span>
#include <stdexcept>
#include <vector>

#include "base/vector.h"

namespace cabinfield {

/// The solver ran out of memory or met a singular system.
class SolverFailure : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

using ComplexBasisMatrix = Eigen::Matrix<Complex, Eigen::Dynamic, Eigen::Dynamic>;

/// Single precision takes half the time and memory; it is enough for the vectors of a reduced basis.
enum class Precision { double_precision, single_precision };

/// MUMPS keeps hidden state: solvers of one process must not work at the same time.
class ComplexSymmetricSolver {
 public:
  /// Lower triangle by columns: start of each column and the rows in it. Both must outlive the solver.
  ComplexSymmetricSolver(const std::vector<int>& column_start, const std::vector<int>& row,
                         Precision precision = Precision::double_precision);
  ~ComplexSymmetricSolver();
  ComplexSymmetricSolver(const ComplexSymmetricSolver&) = delete;
  ComplexSymmetricSolver& operator=(const ComplexSymmetricSolver&) = delete;

  /// Throws SolverFailure.
  void factor(std::vector<Complex> values);
  /// Solves for each column of the right-hand side. Throws SolverFailure.
  ComplexBasisMatrix solve(const ComplexBasisMatrix& right_hand_side);

  class Instance;  ///< MUMPS in one precision

 private:
  double residual(const ComplexBasisMatrix& solution, const ComplexBasisMatrix& right_hand_side) const;

  const std::vector<int>& column_start_;
  const std::vector<int>& row_;
  std::vector<Complex> values_;
  double largest_residual_;
  std::unique_ptr<Instance> quick_, careful_;
  bool with_care_ = false;  ///< the present values need numerical pivoting
};

}  // namespace cabinfield
