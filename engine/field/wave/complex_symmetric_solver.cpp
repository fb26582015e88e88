#include "field/wave/complex_symmetric_solver.h"

#include <fmt/format.h>
#include <zmumps_c.h>

#include <numeric>

namespace cabinfield {

struct ComplexSymmetricSolver::State {
  ZMUMPS_STRUC_C id{};
  std::vector<MUMPS_INT> row, column, order;
  std::vector<Complex> values;

  /// MUMPS numbers its controls from one.
  MUMPS_INT& control(int number) { return id.icntl[number - 1]; }

  void run(MUMPS_INT job, const char* what) {
    id.job = job;
    zmumps_c(&id);
    const MUMPS_INT status = id.infog[0];
    if (status == -9 || status == -13) throw SolverFailure(fmt::format("{}: not enough memory", what));
    if (status < 0) throw SolverFailure(fmt::format("{}: the solver gave up with its code {}", what, status));
  }
};

ComplexSymmetricSolver::ComplexSymmetricSolver(const std::vector<int>& column_start,
                                               const std::vector<int>& row)
    : state_(std::make_unique<State>()) {
  State& state = *state_;
  state.id.sym = 2;
  state.id.par = 1;
  state.id.comm_fortran = -987654;  // MPI_COMM_WORLD of the sequential library
  state.run(-1, "start");
  for (int stream : {1, 2, 3}) state.control(stream) = -1;  // print nothing
  state.control(4) = 0;
  state.control(7) = 1;    // unknowns are taken in their own order
  state.control(14) = 40;  // percent of room for delayed pivots
  state.control(16) = 1;   // threads
  state.control(27) = 32;  // right-hand sides taken at once
  const int unknowns = static_cast<int>(column_start.size()) - 1;
  state.row.reserve(row.size());
  state.column.reserve(row.size());
  for (int j = 0; j < unknowns; ++j)
    for (int e = column_start[j]; e < column_start[j + 1]; ++e) {
      state.row.push_back(row[e] + 1);
      state.column.push_back(j + 1);
    }
  state.id.n = unknowns;
  state.id.nnz = static_cast<MUMPS_INT8>(row.size());
  state.id.irn = state.row.data();
  state.id.jcn = state.column.data();
  state.order.resize(static_cast<std::size_t>(unknowns));
  std::iota(state.order.begin(), state.order.end(), 1);
  state.id.perm_in = state.order.data();
  state.run(1, "ordering of the wave field's unknowns");
}

ComplexSymmetricSolver::~ComplexSymmetricSolver() {
  state_->id.job = -2;
  zmumps_c(&state_->id);
}

void ComplexSymmetricSolver::factor(std::vector<Complex> values) {
  State& state = *state_;
  state.values = std::move(values);
  state.id.a = reinterpret_cast<ZMUMPS_COMPLEX*>(state.values.data());
  // Where rounding asks for more pivots to be put off than there is room for, more room is all that helps.
  for (int tries = 0;; ++tries) {
    try {
      state.run(2, "factorisation of the wave field");
      return;
    } catch (const SolverFailure&) {
      if (state.id.infog[0] != -9 || tries == 3) throw;
      state.control(14) *= 3;
    }
  }
}

ComplexColumns ComplexSymmetricSolver::solve(ComplexColumns right_hand_side) const {
  State& state = *state_;
  state.id.rhs = reinterpret_cast<ZMUMPS_COMPLEX*>(right_hand_side.data());
  state.id.nrhs = static_cast<MUMPS_INT>(right_hand_side.cols());
  state.id.lrhs = static_cast<MUMPS_INT>(right_hand_side.rows());
  state.run(3, "solution of the wave field");
  return right_hand_side;
}

}  // namespace cabinfield
