#include "field/wave/reduced_cabin.h"

#include <cblas.h>

#include <complex>
// The C header's own complex numbers are no part of C++.
#define lapack_complex_float std::complex<float>
#define lapack_complex_double std::complex<double>
#include <lapacke.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

#include "base/constants.h"
#include "field/wave/complex_symmetric_solver.h"
#include "field/wave/rigid_modes.h"

namespace cabinfield {
namespace {

/// Singular values below this part of the tolerance, over the largest, are rounding and near-copies of other
/// columns.
constexpr double least_singular_of_tolerance = 6e-4;

void pin_blas() { openblas_set_num_threads(1); }

int as_int(Eigen::Index value) { return static_cast<int>(value); }

/// a^T b, by one call of one thread.
Eigen::MatrixXd transposed_product(const Columns& a, const Columns& b) {
  Eigen::MatrixXd result(a.cols(), b.cols());
  if (result.size() == 0 || a.rows() == 0) return Eigen::MatrixXd::Zero(a.cols(), b.cols());
  cblas_dgemm(CblasColMajor, CblasNoTrans, CblasTrans, as_int(a.cols()), as_int(b.cols()), as_int(a.rows()),
              1, a.data(), as_int(a.cols()), b.data(), as_int(b.cols()), 0, result.data(), as_int(a.cols()));
  return result;
}

/// a m, by one call of one thread.
Columns product(const Columns& a, const Eigen::MatrixXd& m) {
  Columns result(a.rows(), m.cols());
  if (result.size() == 0) return result;
  cblas_dgemm(CblasColMajor, CblasTrans, CblasNoTrans, as_int(m.cols()), as_int(a.rows()), as_int(a.cols()),
              1, m.data(), as_int(m.rows()), a.data(), as_int(a.cols()), 0, result.data(), as_int(m.cols()));
  return result;
}

/// Columns that span the same, orthonormal, without what is nothing but rounding.
Columns orthonormalised(Columns raw, double least_singular) {
  for (Eigen::Index c = 0; c < raw.cols(); ++c) {
    const double norm = raw.col(c).norm();
    if (norm > 0) raw.col(c) /= norm;
  }
  for (int pass = 0; pass < 2; ++pass) {
    Eigen::MatrixXd gram = transposed_product(raw, raw);
    Eigen::VectorXd squares(gram.cols());
    if (LAPACKE_dsyev(LAPACK_COL_MAJOR, 'V', 'L', as_int(gram.cols()), gram.data(), as_int(gram.cols()),
                      squares.data()) != 0)
      throw SolverFailure("the columns of the cabin could not be made independent");
    const double least = squares.maxCoeff() * least_singular * least_singular;
    Eigen::Index first = 0;
    while (first < squares.size() && squares[first] <= least) ++first;
    const Eigen::Index kept = squares.size() - first;
    Eigen::MatrixXd turn = gram.rightCols(kept);
    for (Eigen::Index c = 0; c < kept; ++c) turn.col(c) /= std::sqrt(squares[first + c]);
    raw = product(raw, turn);
  }
  return raw;
}

/// Term times columns, on the unknowns that it touches alone.
struct TouchedProduct {
  std::vector<int> unknown;
  Columns value;  // [unknown, columns]
};

TouchedProduct touched_product(const WaveMatrices& matrices, const WaveTerm& term, const Columns& columns) {
  TouchedProduct result;
  std::vector<int> local(static_cast<std::size_t>(matrices.unknowns()), -1);
  for (int slot : term.slot) local[matrices.row()[slot]] = local[matrices.column()[slot]] = 0;
  for (std::size_t i = 0; i < local.size(); ++i)
    if (local[i] == 0) {
      local[i] = static_cast<int>(result.unknown.size());
      result.unknown.push_back(static_cast<int>(i));
    }
  const Eigen::Index width = columns.cols();
  result.value = Columns::Zero(static_cast<Eigen::Index>(result.unknown.size()), width);
  for (std::size_t e = 0; e < term.slot.size(); ++e) {
    const int i = matrices.row()[term.slot[e]], j = matrices.column()[term.slot[e]];
    const double factor = term.value[e];
    const double* from_j = columns.row(j).data();
    double* to_i = result.value.row(local[i]).data();
    for (Eigen::Index c = 0; c < width; ++c) to_i[c] += factor * from_j[c];
    if (i == j) continue;
    const double* from_i = columns.row(i).data();
    double* to_j = result.value.row(local[j]).data();
    for (Eigen::Index c = 0; c < width; ++c) to_j[c] += factor * from_i[c];
  }
  return result;
}

Columns gathered(const Columns& columns, const std::vector<int>& rows) {
  Columns result(static_cast<Eigen::Index>(rows.size()), columns.cols());
  for (std::size_t i = 0; i < rows.size(); ++i)
    result.row(static_cast<Eigen::Index>(i)) = columns.row(rows[i]);
  return result;
}

double wavenumber(double frequency_hz, const Air& air) { return 2 * pi * frequency_hz / air.sound_speed_m_s; }

/// The error that all but a thousandth of the cabin stays under, over the mean pressure there, for the worst
/// ear.
double worst_error(const Eigen::MatrixXcd& missed, const Eigen::MatrixXcd& field) {
  double worst = 0;
  for (Eigen::Index e = 0; e < field.cols(); ++e) {
    std::vector<double> error;
    for (Eigen::Index i = 0; i < field.rows(); ++i) error.push_back(std::norm(missed(i, e)));
    const auto place = error.end() - static_cast<std::ptrdiff_t>(1 + error.size() / 1000);
    std::nth_element(error.begin(), place, error.end());
    worst =
        std::max(worst, std::sqrt(*place / (field.col(e).squaredNorm() / static_cast<double>(field.rows()))));
  }
  return worst;
}

/// Real and imaginary parts side by side.
Columns parted(const Eigen::MatrixXcd& columns) {
  Columns parts(columns.rows(), 2 * columns.cols());
  parts.leftCols(columns.cols()) = columns.real();
  parts.rightCols(columns.cols()) = columns.imag();
  return parts;
}

}  // namespace

/// Weights of all terms at one frequency, and their derivatives by the wavenumber with materials held.
struct CabinReducer::Weights {
  std::vector<Complex> value, slope, curvature;

  Weights(const WaveMatrices& matrices, const Cabin& cabin, const WaveMedium& medium, double frequency_hz) {
    const Table<Complex, 2> property = medium.properties(matrices, cabin, {frequency_hz});
    const double k = wavenumber(frequency_hz, medium.air);
    for (std::size_t t = 0; t < matrices.terms().size(); ++t) {
      const WaveTerm::Kind kind = matrices.terms()[t].kind;
      value.push_back(term_weight(kind, property(t, 0), k));
      const int power = kind == WaveTerm::Kind::stiffness ? 0 : kind == WaveTerm::Kind::mass ? 2 : 1;
      slope.push_back(value.back() * static_cast<double>(power) / k);
      curvature.push_back(value.back() * static_cast<double>(power * (power - 1)) / (k * k));
    }
  }
};

Eigen::VectorXd ReducedCabin::coordinates(const PointValue& point) const {
  Eigen::VectorXd sum = Eigen::VectorXd::Zero(basis.cols());
  for (int i = 0; i < 10; ++i) sum += point.weight[i] * basis.row(point.unknown[i]).transpose();
  return sum;
}

std::vector<Eigen::MatrixXcd> ReducedCabin::solve(const std::vector<WaveTerm>& terms,
                                                  const Table<Complex, 2>& properties,
                                                  const std::vector<double>& wavenumber_per_m,
                                                  const Eigen::MatrixXd& right_hand_side) const {
  const std::size_t frequencies = wavenumber_per_m.size();
  const ReducedSystem system(terms, projected, properties);
  std::vector<Eigen::MatrixXcd> solution(frequencies);
  parallel_for(frequencies, [&](std::size_t f) {
    std::vector<Complex> weight;
    for (const ReducedSystem::Group& group : system.groups())
      weight.push_back(term_weight(group.kind, properties(group.term, f), wavenumber_per_m[f]));
    solution[f] = right_hand_side.cast<Complex>();
    if (!solve_dense(system.weighed(weight), solution[f]))
      throw SolverFailure("the reduced wave field is singular");
  });
  return solution;
}

ReducedSystem::ReducedSystem(const std::vector<WaveTerm>& terms,
                             const std::vector<Eigen::MatrixXd>& projected,
                             const Table<Complex, 2>& properties) {
  const std::size_t frequencies = properties.shape()[1];
  for (std::size_t t = 0; t < terms.size(); ++t) {
    const Complex* property = properties.row(t);
    if (std::all_of(property, property + frequencies,
                    [](const Complex& value) { return value == Complex(0); }))
      continue;
    auto same = std::find_if(groups_.begin(), groups_.end(), [&](const Group& group) {
      return group.kind == terms[t].kind &&
             std::equal(property, property + frequencies, properties.row(group.term));
    });
    if (same == groups_.end())
      groups_.push_back({terms[t].kind, t, projected[t]});
    else
      same->sum += projected[t];
  }
}

Eigen::MatrixXcd ReducedSystem::weighed(const std::vector<Complex>& weight) const {
  const Eigen::Index size = groups_.front().sum.rows();
  Eigen::MatrixXd real = Eigen::MatrixXd::Zero(size, size), imaginary = real;
  for (std::size_t g = 0; g < groups_.size(); ++g) {
    if (weight[g].real() != 0) real += weight[g].real() * groups_[g].sum;
    if (weight[g].imag() != 0) imaginary += weight[g].imag() * groups_[g].sum;
  }
  Eigen::MatrixXcd sum(size, size);
  sum.real() = real;
  sum.imag() = imaginary;
  return sum;
}

bool solve_dense(Eigen::MatrixXcd matrix, Eigen::MatrixXcd& right_hand_side) {
  pin_blas();
  std::vector<lapack_int> pivot(static_cast<std::size_t>(matrix.rows()));
  return LAPACKE_zgesv(LAPACK_COL_MAJOR, as_int(matrix.rows()), as_int(right_hand_side.cols()), matrix.data(),
                       as_int(matrix.rows()), pivot.data(), right_hand_side.data(),
                       as_int(matrix.rows())) == 0;
}

Eigen::MatrixXd projected_term(const WaveMatrices& matrices, const WaveTerm& term, const Columns& basis) {
  pin_blas();
  const TouchedProduct touched = touched_product(matrices, term, basis);
  const Eigen::MatrixXd square = transposed_product(gathered(basis, touched.unknown), touched.value);
  return 0.5 * (square + square.transpose());
}

CabinReducer::CabinReducer(const WaveMatrices& matrices, const Cabin& cabin, std::vector<PointValue> ears)
    : matrices_(matrices), cabin_(cabin), ears_(std::move(ears)) {}

void CabinReducer::append(ReducedCabin& reduced, const Columns& raw, double least_singular) const {
  Columns fresh = raw;
  const Eigen::Index old = reduced.basis.cols();
  if (old > 0) {
    for (Eigen::Index c = 0; c < fresh.cols(); ++c) fresh.col(c) /= std::max(fresh.col(c).norm(), 1e-300);
    for (int pass = 0; pass < 2; ++pass)
      fresh -= product(reduced.basis, transposed_product(reduced.basis, fresh));
    // What was left is made no larger than it was: a near-copy of old columns stays small and is dropped.
    Eigen::Index kept = 0;
    for (Eigen::Index c = 0; c < fresh.cols(); ++c)
      if (fresh.col(c).norm() > 1e-6) fresh.col(kept++) = fresh.col(c);
    fresh.conservativeResize(Eigen::NoChange, kept);
    if (kept == 0) return;
  }
  fresh = orthonormalised(std::move(fresh), least_singular);
  if (old > 0) fresh -= product(reduced.basis, transposed_product(reduced.basis, fresh));
  Columns all(matrices_.unknowns(), old + fresh.cols());
  if (old > 0) all.leftCols(old) = reduced.basis;
  all.rightCols(fresh.cols()) = fresh;

  reduced.projected.resize(matrices_.terms().size());
  const Columns added = all.rightCols(fresh.cols());
  parallel_for(matrices_.terms().size(), [&](std::size_t t) {
    const TouchedProduct product_of = touched_product(matrices_, matrices_.terms()[t], added);
    const Eigen::MatrixXd strip = transposed_product(gathered(all, product_of.unknown), product_of.value);
    Eigen::MatrixXd grown(all.cols(), all.cols());
    if (old > 0) grown.topLeftCorner(old, old) = reduced.projected[t];
    grown.rightCols(added.cols()) = strip;
    grown.bottomRows(added.cols()) = strip.transpose();
    // Rounding must not spoil the symmetry.
    grown.bottomRightCorner(added.cols(), added.cols()) =
        0.5 * (strip.bottomRows(added.cols()) + strip.bottomRows(added.cols()).transpose());
    reduced.projected[t] = std::move(grown);
  });
  reduced.basis = std::move(all);
  reduced.ear.resize(reduced.basis.cols(), static_cast<Eigen::Index>(ears_.size()));
  for (std::size_t e = 0; e < ears_.size(); ++e)
    reduced.ear.col(static_cast<Eigen::Index>(e)) = reduced.coordinates(ears_[e]);
  const Eigen::Index modes = reduced.mode.cols();
  reduced.mode.conservativeResize(reduced.basis.cols(), modes);
  reduced.mode.bottomRows(fresh.cols()).setZero();
}

Columns CabinReducer::moments(ComplexSymmetricSolver& solver, const WaveMedium& medium, double frequency_hz,
                              int count, Eigen::MatrixXcd& field) const {
  const Weights weights(matrices_, cabin_, medium, frequency_hz);
  solver.factor(matrices_.weighed(std::span<const Complex>(weights.value)));
  const Eigen::Index ears = static_cast<Eigen::Index>(ears_.size());
  field = solver.solve(ear_functionals());
  // A u = b, and by the product rule A u_n = -n A' u_(n-1) - n (n-1)/2 A'' u_(n-2) for the n-th derivative.
  const std::vector<Complex> slope = matrices_.weighed(std::span<const Complex>(weights.slope)),
                             curvature = matrices_.weighed(std::span<const Complex>(weights.curvature));
  std::vector<Eigen::MatrixXcd> moment{field};
  for (int n = 1; n < count; ++n) {
    Eigen::MatrixXcd right = Eigen::MatrixXcd::Zero(field.rows(), ears);
    auto subtract = [&](const std::vector<Complex>& matrix, const Eigen::MatrixXcd& columns, double factor) {
      for (std::size_t s = 0; s < matrix.size(); ++s) {
        if (matrix[s] == Complex(0)) continue;
        const int i = matrices_.row()[s], j = matrices_.column()[s];
        const Complex entry = factor * matrix[s];
        for (Eigen::Index e = 0; e < ears; ++e) {
          right(i, e) -= entry * columns(j, e);
          if (i != j) right(j, e) -= entry * columns(i, e);
        }
      }
    };
    subtract(slope, moment[n - 1], n);
    if (n > 1) subtract(curvature, moment[n - 2], 0.5 * n * (n - 1));
    moment.push_back(solver.solve(std::move(right)));
  }
  Columns columns(field.rows(), 2 * ears * count);
  for (int n = 0; n < count; ++n) columns.middleCols(2 * ears * n, 2 * ears) = parted(moment[n]);
  return columns;
}

ReducedCabin CabinReducer::reduce(const WaveMedium& medium, const ReductionWish& wish,
                                  const Progress& progress) const {
  pin_blas();
  auto tell = [&](double done) {
    if (progress) progress(done);
  };
  ReducedCabin reduced;
  ComplexSymmetricSolver solver(matrices_.column_start(), matrices_.row());
  RigidModes modes;
  std::vector<Columns> parts(1);
  // Two libraries, two cores: the modes are found while the moments are.
  parallel_for(2, [&](std::size_t half) {
    if (half == 0) {
      modes = rigid_modes(matrices_, wish.modes);
      return;
    }
    for (double share : wish.shift_shares) {
      Eigen::MatrixXcd field;
      reduced.shift_hz.push_back(share * wish.top_hz);
      parts.push_back(moments(solver, medium, reduced.shift_hz.back(), wish.moments, field));
      tell(0.8 * static_cast<double>(parts.size() - 1) / static_cast<double>(wish.shift_shares.size()));
    }
  });
  parts.front() = modes.shape;
  Eigen::Index width = 0;
  for (const Columns& part : parts) width += part.cols();
  Columns raw(matrices_.unknowns(), width);
  width = 0;
  for (const Columns& part : parts) {
    raw.middleCols(width, part.cols()) = part;
    width += part.cols();
  }
  append(reduced, raw, least_singular_of_tolerance * wish.tolerance);
  reduced.mode_wavenumber_per_m = modes.wavenumber_per_m;
  reduced.mode = transposed_product(reduced.basis, Columns(modes.shape));
  tell(0.85);
  improve(reduced, medium, wish, solver);
  tell(1);
  return reduced;
}

bool CabinReducer::adapt(ReducedCabin& reduced, const WaveMedium& medium, const ReductionWish& wish) const {
  pin_blas();
  reduced.estimate = estimate(reduced, medium, wish.top_hz);
  if (reduced.estimate.error <= wish.tolerance) return true;
  ComplexSymmetricSolver solver(matrices_.column_start(), matrices_.row());
  improve(reduced, medium, wish, solver);
  return false;
}

void CabinReducer::improve(ReducedCabin& reduced, const WaveMedium& medium, const ReductionWish& wish,
                           ComplexSymmetricSolver& solver) const {
  for (int extra = 0;; ++extra) {
    reduced.estimate = estimate(reduced, medium, wish.top_hz);
    if (extra == wish.most_extra_shifts || reduced.estimate.error <= wish.tolerance) return;
    Eigen::MatrixXcd field;
    const double at_hz = reduced.estimate.frequency_hz;
    const Columns fresh = moments(solver, medium, at_hz, wish.moments, field);
    const Table<Complex, 2> property = medium.properties(matrices_, cabin_, {at_hz});
    const Eigen::MatrixXcd answer =
        reduced.solve(matrices_.terms(), property, {wavenumber(at_hz, medium.air)}, reduced.ear).front();
    Eigen::MatrixXcd missed = field;
    missed.real() -= reduced.basis * answer.real();
    missed.imag() -= reduced.basis * answer.imag();
    const double residual = reduced.estimate.error / reduced.effectivity;
    if (residual > 0)
      reduced.effectivity = std::max(reduced.effectivity, worst_error(missed, field) / residual);
    append(reduced, fresh, least_singular_of_tolerance * wish.tolerance);
    reduced.shift_hz.push_back(at_hz);
  }
}

ReductionEstimate CabinReducer::estimate(const ReducedCabin& reduced, const WaveMedium& medium,
                                         double top_hz) const {
  // One source at all ears at once, with signs that do not let them cancel, stands for each of them.
  std::vector<double> frequency{top_hz / 40, top_hz / 25};
  for (int i = 1; i <= 16; ++i) frequency.push_back(top_hz * i / 16);
  Eigen::VectorXd signs(reduced.ear.cols());
  for (Eigen::Index e = 0; e < signs.size(); ++e) signs[e] = (e / 2 + e % 2) % 2 == 0 ? 1 : -1;
  const Eigen::MatrixXd together = reduced.ear * signs;
  Eigen::VectorXd functional = Eigen::VectorXd::Zero(matrices_.unknowns());
  for (std::size_t e = 0; e < ears_.size(); ++e)
    for (int i = 0; i < 10; ++i) functional[ears_[e].unknown[i]] += signs[e] * ears_[e].weight[i];

  const Table<Complex, 2> property = medium.properties(matrices_, cabin_, frequency);
  std::vector<double> wavenumbers;
  for (double f : frequency) wavenumbers.push_back(wavenumber(f, medium.air));
  const auto answer = reduced.solve(matrices_.terms(), property, wavenumbers, together);
  std::vector<double> stiffness_diagonal(static_cast<std::size_t>(matrices_.unknowns()), 0.0),
      mass_diagonal = stiffness_diagonal;
  for (const WaveTerm& term : matrices_.terms()) {
    if (term.kind != WaveTerm::Kind::stiffness && term.kind != WaveTerm::Kind::mass) continue;
    auto& diagonal = term.kind == WaveTerm::Kind::stiffness ? stiffness_diagonal : mass_diagonal;
    for (std::size_t s = 0; s < term.slot.size(); ++s)
      if (matrices_.row()[term.slot[s]] == matrices_.column()[term.slot[s]])
        diagonal[matrices_.row()[term.slot[s]]] += term.value[s];
  }
  std::vector<double> error(frequency.size());
  parallel_for(frequency.size(), [&](std::size_t f) {
    std::vector<Complex> weight;
    for (std::size_t t = 0; t < matrices_.terms().size(); ++t)
      weight.push_back(term_weight(matrices_.terms()[t].kind, property(t, f), wavenumbers[f]));
    const std::vector<Complex> system = matrices_.weighed(std::span<const Complex>(weight));
    Eigen::MatrixXd parts(answer[f].rows(), 2);
    parts << answer[f].real(), answer[f].imag();
    const Columns field_parts = product(reduced.basis, parts);
    std::vector<Complex> field(static_cast<std::size_t>(matrices_.unknowns())), residual(field.size());
    for (std::size_t i = 0; i < field.size(); ++i) {
      field[i] = {field_parts(static_cast<Eigen::Index>(i), 0), field_parts(static_cast<Eigen::Index>(i), 1)};
      residual[i] = -functional[static_cast<Eigen::Index>(i)];
    }
    for (std::size_t s = 0; s < system.size(); ++s) {
      const int i = matrices_.row()[s], j = matrices_.column()[s];
      residual[i] += system[s] * field[j];
      if (i != j) residual[j] += system[s] * field[i];
    }
    double left = 0, whole = 0;
    for (std::size_t i = 0; i < field.size(); ++i) {
      const double diagonal = stiffness_diagonal[i] + wavenumbers[f] * wavenumbers[f] * mass_diagonal[i];
      left += std::norm(residual[i]) / diagonal;
      whole += std::norm(field[i]) * diagonal;
    }
    error[f] = reduced.effectivity * std::sqrt(left / whole);
  });
  const std::size_t worst =
      static_cast<std::size_t>(std::max_element(error.begin(), error.end()) - error.begin());
  return {error[worst], frequency[worst]};
}

std::vector<Eigen::MatrixXcd> CabinReducer::solve_in_full(const WaveMedium& medium,
                                                          const std::vector<double>& frequency_hz) const {
  pin_blas();
  ComplexSymmetricSolver solver(matrices_.column_start(), matrices_.row());
  std::vector<Eigen::MatrixXcd> fields;
  for (double f : frequency_hz) {
    const Weights weights(matrices_, cabin_, medium, f);
    solver.factor(matrices_.weighed(std::span<const Complex>(weights.value)));
    fields.push_back(solver.solve(ear_functionals()));
  }
  return fields;
}

Eigen::MatrixXcd CabinReducer::ear_functionals() const {
  Eigen::MatrixXcd functional =
      Eigen::MatrixXcd::Zero(matrices_.unknowns(), static_cast<Eigen::Index>(ears_.size()));
  for (Eigen::Index e = 0; e < functional.cols(); ++e)
    for (int i = 0; i < 10; ++i) functional(ears_[e].unknown[i], e) += ears_[e].weight[i];
  return functional;
}

}  // namespace cabinfield
