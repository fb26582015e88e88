#include "field/wave/basis_algebra.h"

#include <cblas.h>

#include <complex>
// LAPACKE's default complex type is not C++.
#define lapack_complex_float std::complex<float>
#define lapack_complex_double std::complex<double>
#include <lapacke.h>

#include <algorithm>
#include <cmath>

#include "base/parallel.h"
#include "field/wave/complex_symmetric_solver.h"

namespace cabinfield {
namespace {

int as_int(Eigen::Index value) { return static_cast<int>(value); }

constexpr Eigen::Index rows_at_once = 4096;

std::size_t pieces_of(Eigen::Index rows) {
  return static_cast<std::size_t>((rows + rows_at_once - 1) / rows_at_once);
}

/// Calls body(piece, first row, number of rows) for each piece.
template <typename Body>
void for_pieces(Eigen::Index rows, const Body& body) {
  parallel_for(pieces_of(rows), [&](std::size_t piece) {
    const Eigen::Index first = static_cast<Eigen::Index>(piece) * rows_at_once;
    body(piece, first, as_int(std::min(rows_at_once, rows - first)));
  });
}

/// Sum of the pieces' results, [rows, basis vectors] each and zero at first, in the order of the pieces.
template <typename Make>
Eigen::MatrixXd summed(Eigen::Index length, Eigen::Index rows, Eigen::Index basis_vectors, const Make& make) {
  Eigen::MatrixXd sum = Eigen::MatrixXd::Zero(rows, basis_vectors);
  if (sum.size() == 0) return sum;
  std::vector<Eigen::MatrixXd> part(pieces_of(length));
  for_pieces(length, [&](std::size_t piece, Eigen::Index first, int count) {
    part[piece].setZero(rows, basis_vectors);
    make(first, count, part[piece].data());
  });
  for (const Eigen::MatrixXd& of_piece : part) sum += of_piece;
  return sum;
}

/// a^T a.
Eigen::MatrixXd gram_of(const BasisMatrix& a) {
  const int width = as_int(a.cols());
  return summed(a.rows(), width, width,
                [&](Eigen::Index first, int count, double* made) {
                  cblas_dsyrk(CblasColMajor, CblasLower, CblasNoTrans, width, count, 1, a.row(first).data(),
                              width, 0, made, width);
                })
      .selfadjointView<Eigen::Lower>();
}

}  // namespace

void pin_blas() { openblas_set_num_threads(1); }

Eigen::MatrixXd transposed_product(const BasisMatrix& a, const BasisMatrix& b) {
  const int of_a = as_int(a.cols()), of_b = as_int(b.cols());
  return summed(a.rows(), of_a, of_b, [&](Eigen::Index first, int count, double* made) {
    cblas_dgemm(CblasColMajor, CblasNoTrans, CblasTrans, of_a, of_b, count, 1, a.row(first).data(), of_a,
                b.row(first).data(), of_b, 0, made, of_a);
  });
}

BasisMatrix product(const BasisMatrix& a, const Eigen::MatrixXd& m) {
  BasisMatrix result(a.rows(), m.cols());
  if (result.size() == 0) return result;
  const int inner = as_int(a.cols()), width = as_int(m.cols());
  for_pieces(a.rows(), [&](std::size_t, Eigen::Index first, int count) {
    cblas_dgemm(CblasColMajor, CblasTrans, CblasNoTrans, width, count, inner, 1, m.data(), inner,
                a.row(first).data(), inner, 0, result.row(first).data(), width);
  });
  return result;
}

BasisMatrix orthonormalised(BasisMatrix raw, double least_singular) {
  // Step 1: the Gram matrix of the normalised vectors, and its eigenvalues, the squared singular values.
  Eigen::MatrixXd gram = gram_of(raw);
  const Eigen::VectorXd to_one =
      gram.diagonal().unaryExpr([](double square) { return square > 0 ? 1 / std::sqrt(square) : 0.0; });
  gram = to_one.asDiagonal() * gram * to_one.asDiagonal();
  Eigen::VectorXd squares(gram.cols());
  if (LAPACKE_dsyevd(LAPACK_COL_MAJOR, 'V', 'L', as_int(gram.cols()), gram.data(), as_int(gram.cols()),
                     squares.data()) != 0)
    throw SolverFailure("the reduced basis could not be orthonormalised");
  // Step 2: drop small directions and scale the others to unit length.
  const double least = squares.maxCoeff() * least_singular * least_singular;
  Eigen::Index first = 0;
  while (first < squares.size() && squares[first] <= least) ++first;
  const Eigen::Index remaining = squares.size() - first;
  Eigen::MatrixXd turn = to_one.asDiagonal() * gram.rightCols(remaining);
  for (Eigen::Index c = 0; c < remaining; ++c) turn.col(c) /= std::sqrt(squares[first + c]);
  raw = product(raw, turn);
  // Step 3: the weakest directions are orthonormal up to rounding only; a Cholesky factor of their Gram
  // matrix corrects that (CholeskyQR, e.g. Stathopoulos & Wu, SIAM J. Sci. Comput. 23 (2002) 2165, from
  // memory).
  gram = gram_of(raw);
  const int width = as_int(remaining);
  if (LAPACKE_dpotrf(LAPACK_COL_MAJOR, 'L', width, gram.data(), width) != 0)
    throw SolverFailure("the reduced basis could not be orthonormalised");
  for_pieces(raw.rows(), [&](std::size_t, Eigen::Index begin, int count) {
    cblas_dtrsm(CblasColMajor, CblasLeft, CblasLower, CblasNoTrans, CblasNonUnit, width, count, 1,
                gram.data(), width, raw.row(begin).data(), width);
  });
  return raw;
}

BasisMatrix side_by_side(const std::vector<Eigen::Ref<const BasisMatrix>>& parts) {
  Eigen::Index width = 0;
  for (const auto& part : parts) width += part.cols();
  BasisMatrix all(parts.front().rows(), width);
  for_pieces(all.rows(), [&](std::size_t, Eigen::Index first, int count) {
    Eigen::Index column = 0;
    for (const auto& part : parts) {
      all.block(first, column, count, part.cols()) = part.middleRows(first, count);
      column += part.cols();
    }
  });
  return all;
}

BasisMatrix parted(const Eigen::MatrixXcd& basis_vectors) {
  BasisMatrix parts(basis_vectors.rows(), 2 * basis_vectors.cols());
  parts.leftCols(basis_vectors.cols()) = basis_vectors.real();
  parts.rightCols(basis_vectors.cols()) = basis_vectors.imag();
  return parts;
}

bool solve_dense(Eigen::MatrixXcd matrix, Eigen::MatrixXcd& right_hand_side) {
  pin_blas();
  std::vector<lapack_int> pivot(static_cast<std::size_t>(matrix.rows()));
  return LAPACKE_zgesv(LAPACK_COL_MAJOR, as_int(matrix.rows()), as_int(right_hand_side.cols()), matrix.data(),
                       as_int(matrix.rows()), pivot.data(), right_hand_side.data(),
                       as_int(matrix.rows())) == 0;
}

DenseFactors::DenseFactors(Eigen::MatrixXcd matrix)
    : factors_(std::move(matrix)), pivot_(static_cast<std::size_t>(factors_.rows())) {
  static_assert(sizeof(lapack_int) == sizeof(int));
  pin_blas();
  singular_ = LAPACKE_zgetrf(LAPACK_COL_MAJOR, as_int(factors_.rows()), as_int(factors_.cols()),
                             factors_.data(), as_int(factors_.rows()), pivot_.data()) != 0;
}

Eigen::VectorXcd DenseFactors::solve(Eigen::VectorXcd right_hand_side) const {
  LAPACKE_zgetrs(LAPACK_COL_MAJOR, 'N', as_int(factors_.rows()), 1, factors_.data(), as_int(factors_.rows()),
                 pivot_.data(), right_hand_side.data(), as_int(factors_.rows()));
  return right_hand_side;
}

}  // namespace cabinfield
