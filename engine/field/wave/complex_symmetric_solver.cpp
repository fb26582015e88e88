#include "field/wave/complex_symmetric_solver.h"

#include <cmumps_c.h>
#include <fmt/format.h>
#include <zmumps_c.h>

#include <complex>
#include <numeric>

namespace cabinfield {

class ComplexSymmetricSolver::Instance {
 public:
  virtual ~Instance() = default;
  virtual void factor(const std::vector<Complex>& values, bool choose_pivots) = 0;
  virtual ComplexBasisMatrix solve(const ComplexBasisMatrix& right_hand_side) = 0;
};

namespace {

void call(ZMUMPS_STRUC_C& id) { zmumps_c(&id); }
void call(CMUMPS_STRUC_C& id) { cmumps_c(&id); }

template <typename Structure, typename Entry, typename Real>
class MumpsInstance : public ComplexSymmetricSolver::Instance {
 public:
  MumpsInstance(const std::vector<int>& column_start, const std::vector<int>& row) {
    id_.sym = 2;
    id_.par = 1;
    id_.comm_fortran = -987654;  // MPI_COMM_WORLD of the sequential library
    run(-1, "start");
    for (int stream : {1, 2, 3}) control(stream) = -1;  // print nothing
    control(4) = 0;
    control(7) = 1;    // elimination order given in perm_in
    control(14) = 40;  // percent of room for delayed pivots
    control(16) = 1;   // threads
    control(27) = 32;  // right-hand sides taken at once
    const int degrees_of_freedom = static_cast<int>(column_start.size()) - 1;
    row_.reserve(row.size());
    column_.reserve(row.size());
    for (int j = 0; j < degrees_of_freedom; ++j)
      for (int e = column_start[j]; e < column_start[j + 1]; ++e) {
        row_.push_back(row[e] + 1);
        column_.push_back(j + 1);
      }
    id_.n = degrees_of_freedom;
    id_.nnz = static_cast<MUMPS_INT8>(row.size());
    id_.irn = row_.data();
    id_.jcn = column_.data();
    order_.resize(static_cast<std::size_t>(degrees_of_freedom));
    std::iota(order_.begin(), order_.end(), 1);
    id_.perm_in = order_.data();
    run(1, "analysis of the wave field's matrix");
  }
  ~MumpsInstance() override {
    id_.job = -2;
    call(id_);
  }
  MumpsInstance(const MumpsInstance&) = delete;
  MumpsInstance& operator=(const MumpsInstance&) = delete;

  void factor(const std::vector<Complex>& values, bool choose_pivots) override {
    values_.assign(values.begin(), values.end());
    id_.a = reinterpret_cast<Entry*>(values_.data());
    id_.cntl[0] = choose_pivots ? static_cast<Real>(0.01) : 0;
    // -9: more pivots were delayed than the workspace holds; a larger workspace is the remedy.
    for (int tries = 0;; ++tries) {
      try {
        run(2, "factorisation of the wave field");
        return;
      } catch (const SolverFailure&) {
        if (id_.infog[0] != -9 || tries == 3) throw;
        control(14) *= 3;
      }
    }
  }

  ComplexBasisMatrix solve(const ComplexBasisMatrix& right_hand_side) override {
    Eigen::Matrix<std::complex<Real>, Eigen::Dynamic, Eigen::Dynamic> basis_vectors =
        right_hand_side.cast<std::complex<Real>>();
    id_.rhs = reinterpret_cast<Entry*>(basis_vectors.data());
    id_.nrhs = static_cast<MUMPS_INT>(basis_vectors.cols());
    id_.lrhs = static_cast<MUMPS_INT>(basis_vectors.rows());
    run(3, "solution of the wave field");
    return basis_vectors.template cast<Complex>();
  }

 private:
  /// MUMPS numbers its controls from one.
  MUMPS_INT& control(int number) { return id_.icntl[number - 1]; }

  void run(MUMPS_INT job, const char* what) {
    id_.job = job;
    call(id_);
    const MUMPS_INT status = id_.infog[0];
    if (status == -9 || status == -13) throw SolverFailure(fmt::format("{}: not enough memory", what));
    if (status < 0)
      throw SolverFailure(fmt::format("{}: the solver failed with MUMPS code {}", what, status));
  }

  Structure id_{};
  std::vector<MUMPS_INT> row_, column_, order_;
  std::vector<std::complex<Real>> values_;
};

using SingleMumps = MumpsInstance<CMUMPS_STRUC_C, CMUMPS_COMPLEX, float>;
using DoubleMumps = MumpsInstance<ZMUMPS_STRUC_C, ZMUMPS_COMPLEX, double>;

}  // namespace

ComplexSymmetricSolver::ComplexSymmetricSolver(const std::vector<int>& column_start,
                                               const std::vector<int>& row, Precision precision)
    : column_start_(column_start),
      row_(row),
      // Far above the rounding errors, far below what would matter.
      largest_residual_(precision == Precision::single_precision ? 1e-2 : 1e-8) {
  if (precision == Precision::single_precision)
    quick_ = std::make_unique<SingleMumps>(column_start, row);
  else
    quick_ = std::make_unique<DoubleMumps>(column_start, row);
}

ComplexSymmetricSolver::~ComplexSymmetricSolver() = default;

void ComplexSymmetricSolver::factor(std::vector<Complex> values) {
  values_ = std::move(values);
  with_care_ = false;
  quick_->factor(values_, false);
}

ComplexBasisMatrix ComplexSymmetricSolver::solve(const ComplexBasisMatrix& right_hand_side) {
  if (with_care_) return careful_->solve(right_hand_side);
  ComplexBasisMatrix solution = quick_->solve(right_hand_side);
  // False for NaN.
  if (residual(solution, right_hand_side) < largest_residual_) return solution;
  if (!careful_) careful_ = std::make_unique<DoubleMumps>(column_start_, row_);
  careful_->factor(values_, true);
  with_care_ = true;
  solution = careful_->solve(right_hand_side);
  if (!(residual(solution, right_hand_side) < largest_residual_))
    throw SolverFailure("solution of the wave field: the system is numerically singular");
  return solution;
}

/// Relative residual of the first right-hand side, which represents all, since they share the factors.
double ComplexSymmetricSolver::residual(const ComplexBasisMatrix& solution,
                                        const ComplexBasisMatrix& right_hand_side) const {
  Eigen::VectorXcd left = -right_hand_side.col(0);
  const Complex* value = solution.data();
  for (Eigen::Index j = 0; j < left.size(); ++j) {
    Complex sum = 0;
    for (int e = column_start_[j]; e < column_start_[j + 1]; ++e) {
      left[row_[e]] += values_[e] * value[j];
      if (row_[e] != j) sum += values_[e] * value[row_[e]];
    }
    left[j] += sum;
  }
  const double whole = right_hand_side.col(0).norm();
  return whole > 0 ? left.norm() / whole : 0;
}

}  // namespace cabinfield
