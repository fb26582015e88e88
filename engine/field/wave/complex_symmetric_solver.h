// Sparse direct solution of complex symmetric (not Hermitian) systems: MUMPS, sequential, with METIS
// ordering.
//
// The pattern is analysed once; each set of values is factored anew. One thread, so the same bits every time.
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

using ComplexColumns = Eigen::Matrix<Complex, Eigen::Dynamic, Eigen::Dynamic>;

/// MUMPS keeps hidden state: solvers of one process must not work at the same time.
class ComplexSymmetricSolver {
 public:
  /// Lower triangle by columns: start of each column and the rows in it.
  ComplexSymmetricSolver(const std::vector<int>& column_start, const std::vector<int>& row);
  ~ComplexSymmetricSolver();
  ComplexSymmetricSolver(const ComplexSymmetricSolver&) = delete;
  ComplexSymmetricSolver& operator=(const ComplexSymmetricSolver&) = delete;

  /// Throws SolverFailure.
  void factor(std::vector<Complex> values);
  /// Solves for each column of the right-hand side. Throws SolverFailure.
  ComplexColumns solve(ComplexColumns right_hand_side) const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace cabinfield
