#include "field/wave/rigid_modes.h"

#include <Spectra/MatOp/SparseGenMatProd.h>
#include <Spectra/SymGEigsShiftSolver.h>

#include <Eigen/CholmodSupport>
#include <Eigen/SparseCore>
#include <algorithm>
#include <cmath>

#include "field/wave/complex_symmetric_solver.h"

namespace cabinfield {
namespace {

using Sparse = Eigen::SparseMatrix<double>;

Sparse lower_triangle(const WaveMatrices& matrices, const std::vector<double>& values) {
  return Eigen::Map<const Sparse>(matrices.degrees_of_freedom(), matrices.degrees_of_freedom(),
                                  static_cast<Eigen::Index>(values.size()), matrices.column_start().data(),
                                  matrices.row().data(), values.data());
}

/// Solves (K - shift M) y = x with Spectra's interface; the shift is negative, so that the matrix is
/// definite.
class ShiftedSolve {
 public:
  using Scalar = double;

  ShiftedSolve(const Sparse& stiffness, const Sparse& mass) : stiffness_(stiffness), mass_(mass) {
    solver_.cholmod().print = 0;
    solver_.cholmod().nmethods = 1;
    solver_.cholmod().method[0].ordering = CHOLMOD_NATURAL;
    solver_.cholmod().supernodal = CHOLMOD_SUPERNODAL;
  }
  Eigen::Index rows() const { return stiffness_.rows(); }
  Eigen::Index cols() const { return stiffness_.cols(); }
  void set_shift(const double& shift) {
    solver_.compute(Sparse(stiffness_ - shift * mass_));
    if (solver_.info() != Eigen::Success) throw SolverFailure("modes of the cabin: the factorisation failed");
  }
  void perform_op(const double* in, double* out) const {
    const Eigen::Map<const Eigen::VectorXd> x(in, rows());
    Eigen::Map<Eigen::VectorXd>(out, rows()) = solver_.solve(x);
  }

 private:
  const Sparse& stiffness_;
  const Sparse& mass_;
  Eigen::CholmodSupernodalLLT<Sparse, Eigen::Lower> solver_;
};

}  // namespace

RigidModes rigid_modes(const WaveMatrices& matrices, int count) {
  std::vector<double> of_stiffness, of_mass;
  for (const OperatorTerm& term : matrices.terms()) {
    of_stiffness.push_back(term.kind == OperatorTerm::Kind::stiffness ? 1 : 0);
    of_mass.push_back(term.kind == OperatorTerm::Kind::mass ? 1 : 0);
  }
  const Sparse stiffness = lower_triangle(matrices, matrices.weighed(of_stiffness)),
               mass = lower_triangle(matrices, matrices.weighed(of_mass));
  count = std::min(count, matrices.degrees_of_freedom() / 3);

  // The negative square of the wavenumber of a 9 m wave: near the lowest modes, and far enough for a definite
  // matrix.
  constexpr double shift_per_m2 = -0.5;
  ShiftedSolve solve(stiffness, mass);
  // The full matrix, row by row: the iteration multiplies with it more often than it solves.
  const Eigen::SparseMatrix<double, Eigen::RowMajor> whole_mass = mass.selfadjointView<Eigen::Lower>();
  Spectra::SparseGenMatProd<double, Eigen::RowMajor> product(whole_mass);
  const int room = std::min(matrices.degrees_of_freedom(), 2 * count + 12);
  Spectra::SymGEigsShiftSolver<ShiftedSolve, decltype(product), Spectra::GEigsMode::ShiftInvert> lanczos(
      solve, product, count, room, shift_per_m2);
  // A fixed start vector, the same on every machine, with a component along every mode.
  Eigen::VectorXd start(matrices.degrees_of_freedom());
  for (Eigen::Index i = 0; i < start.size(); ++i) start[i] = 1 + std::sin(1.0 + 0.7 * static_cast<double>(i));
  lanczos.init(start.data());
  lanczos.compute(Spectra::SortRule::LargestMagn, 1000, 1e-3, Spectra::SortRule::SmallestAlge);
  if (lanczos.info() != Spectra::CompInfo::Successful)
    throw SolverFailure("modes of the cabin: the iteration did not converge");

  RigidModes modes;
  const Eigen::VectorXd squares = lanczos.eigenvalues();
  modes.shape = lanczos.eigenvectors();
  for (Eigen::Index i = 0; i < squares.size(); ++i)
    modes.wavenumber_per_m.push_back(std::sqrt(std::max(0.0, squares[i])));
  for (Eigen::Index i = 0; i < modes.shape.cols(); ++i) {
    const Eigen::VectorXd shape = modes.shape.col(i);
    modes.shape.col(i) /= std::sqrt(shape.dot(whole_mass * shape));
  }
  return modes;
}

}  // namespace cabinfield
