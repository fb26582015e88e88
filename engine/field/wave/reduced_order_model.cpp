#include "field/wave/reduced_order_model.h"

#include <cblas.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

#include "base/process_for.h"
#include "base/wavenumber.h"
#include "field/wave/basis_algebra.h"
#include "field/wave/complex_symmetric_solver.h"
#include "field/wave/rigid_modes.h"

namespace cabinfield {
namespace {

/// Directions whose singular value over the largest is below this part of the tolerance are rounding or near
/// copies of other vectors.
constexpr double least_singular_of_tolerance = 6e-4;

/// Sound through a closed partition is a thousandth of that on either side; its error, the product of both
/// sides' errors, must be small against that. Estimates are multiplied by this factor.
constexpr double stricter_beyond = 2.5;

int as_int(Eigen::Index value) { return static_cast<int>(value); }

/// Term times basis vectors, restricted to the degrees of freedom that the term touches.
struct TouchedProduct {
  std::vector<int> degree_of_freedom;
  BasisMatrix value;  // [touched, basis vectors]
};

TouchedProduct touched_product(const WaveMatrices& matrices, const OperatorTerm& term,
                               const BasisMatrix& basis_vectors) {
  TouchedProduct result;
  std::vector<int> local(static_cast<std::size_t>(matrices.degrees_of_freedom()), -1);
  for (int nonzero : term.nonzero) local[matrices.row()[nonzero]] = local[matrices.column()[nonzero]] = 0;
  // A term that touches most degrees of freedom is computed on all.
  if (2 * std::count(local.begin(), local.end(), 0) > matrices.degrees_of_freedom())
    std::fill(local.begin(), local.end(), 0);
  for (std::size_t i = 0; i < local.size(); ++i)
    if (local[i] == 0) {
      local[i] = static_cast<int>(result.degree_of_freedom.size());
      result.degree_of_freedom.push_back(static_cast<int>(i));
    }
  const int width = as_int(basis_vectors.cols());
  result.value = BasisMatrix::Zero(static_cast<Eigen::Index>(result.degree_of_freedom.size()), width);
  for (std::size_t e = 0; e < term.nonzero.size(); ++e) {
    const int i = matrices.row()[term.nonzero[e]], j = matrices.column()[term.nonzero[e]];
    cblas_daxpy(width, term.value[e], basis_vectors.row(j).data(), 1, result.value.row(local[i]).data(), 1);
    if (i != j)
      cblas_daxpy(width, term.value[e], basis_vectors.row(i).data(), 1, result.value.row(local[j]).data(), 1);
  }
  return result;
}

/// basis_vectors^T times a product; nothing is copied where the term touches all degrees of freedom.
Eigen::MatrixXd projected_on(const BasisMatrix& basis_vectors, const TouchedProduct& touched) {
  if (touched.value.rows() == basis_vectors.rows()) return transposed_product(basis_vectors, touched.value);
  BasisMatrix rows(touched.value.rows(), basis_vectors.cols());
  for (std::size_t i = 0; i < touched.degree_of_freedom.size(); ++i)
    rows.row(static_cast<Eigen::Index>(i)) = basis_vectors.row(touched.degree_of_freedom[i]);
  return transposed_product(rows, touched.value);
}

/// The error norm e of reduced_order_model.h.
double worst_error(const Eigen::MatrixXcd& missed, const Eigen::MatrixXcd& field) {
  double worst = 0;
  for (Eigen::Index e = 0; e < field.cols(); ++e) {
    std::vector<double> error;
    for (Eigen::Index i = 0; i < field.rows(); ++i) error.push_back(std::norm(missed(i, e)));
    const auto quantile = error.end() - static_cast<std::ptrdiff_t>(1 + error.size() / 1000);
    std::nth_element(error.begin(), quantile, error.end());
    worst = std::max(worst,
                     std::sqrt(*quantile / (field.col(e).squaredNorm() / static_cast<double>(field.rows()))));
  }
  return worst;
}

/// The largest estimate at least `distance_hz` away from the given frequencies.
ReductionEstimate worst_of(const std::vector<ReductionEstimate>& estimates,
                           const std::vector<double>& away_from_hz, double distance_hz) {
  ReductionEstimate worst;
  for (const ReductionEstimate& each : estimates)
    if (each.error > worst.error && std::all_of(away_from_hz.begin(), away_from_hz.end(), [&](double hz) {
          return std::abs(hz - each.frequency_hz) >= distance_hz;
        }))
      worst = each;
  return worst;
}

}  // namespace

/// Weights of all terms at one frequency, and their first and second derivatives by the wavenumber with the
/// materials held constant.
struct ModelReducer::Weights {
  std::vector<Complex> value, slope, curvature;

  Weights(const WaveMatrices& matrices, const Cabin& cabin, const WaveMedium& medium, double frequency_hz) {
    const Table<Complex, 2> property = medium.properties(matrices, cabin, {frequency_hz});
    const double k = wavenumber_at(frequency_hz, medium.air.sound_speed_m_s);
    for (std::size_t t = 0; t < matrices.terms().size(); ++t) {
      const OperatorTerm::Kind kind = matrices.terms()[t].kind;
      value.push_back(term_weight(kind, property(t, 0), k));
      const int power = wavenumber_power(kind);
      slope.push_back(value.back() * static_cast<double>(power) / k);
      curvature.push_back(value.back() * static_cast<double>(power * (power - 1)) / (k * k));
    }
  }
};

Eigen::VectorXd ReducedOrderModel::coordinates(const PointValue& point) const {
  Eigen::VectorXd sum = Eigen::VectorXd::Zero(basis.cols());
  for (int i = 0; i < 10; ++i) sum += point.weight[i] * basis.row(point.degree_of_freedom[i]).transpose();
  return sum;
}

std::vector<Eigen::MatrixXcd> ReducedOrderModel::solve(const std::vector<OperatorTerm>& terms,
                                                       const Table<Complex, 2>& properties,
                                                       const std::vector<double>& wavenumber_per_m,
                                                       const Eigen::MatrixXd& right_hand_side) const {
  // A few frequencies share one pass over the matrices.
  constexpr std::size_t at_once = 5;
  pin_blas();
  const std::size_t frequencies = wavenumber_per_m.size();
  const ReducedOperator system(terms, projected, properties);
  std::vector<Eigen::MatrixXcd> solution(frequencies);
  parallel_for((frequencies + at_once - 1) / at_once, [&](std::size_t share) {
    const std::size_t first = share * at_once, count = std::min(at_once, frequencies - first);
    Eigen::MatrixXcd weight(system.groups().size(), count);
    for (std::size_t f = 0; f < count; ++f)
      for (std::size_t g = 0; g < system.groups().size(); ++g) {
        const ReducedOperator::Group& group = system.groups()[g];
        weight(static_cast<Eigen::Index>(g), static_cast<Eigen::Index>(f)) =
            term_weight(group.kind, properties(group.term, first + f), wavenumber_per_m[first + f]);
      }
    std::vector<Eigen::MatrixXcd> matrix = system.weighed(weight);
    for (std::size_t f = 0; f < count; ++f) {
      solution[first + f] = right_hand_side.cast<Complex>();
      if (!solve_dense(std::move(matrix[f]), solution[first + f]))
        throw SolverFailure("the reduced-order model is singular");
    }
  });
  return solution;
}

ReducedOperator::ReducedOperator(const std::vector<OperatorTerm>& terms,
                                 const std::vector<Eigen::MatrixXd>& projected,
                                 const Table<Complex, 2>& properties) {
  // Group terms of one kind and equal properties; terms without any effect belong to no group.
  const std::size_t frequencies = properties.shape()[1];
  std::vector<std::size_t> group_of(terms.size(), terms.size());
  for (std::size_t t = 0; t < terms.size(); ++t) {
    const Complex* property = properties.row(t);
    if (std::all_of(property, property + frequencies,
                    [](const Complex& value) { return value == Complex(0); }))
      continue;
    const auto same = std::find_if(groups_.begin(), groups_.end(), [&](const Group& group) {
      return group.kind == terms[t].kind &&
             std::equal(property, property + frequencies, properties.row(group.term));
    });
    group_of[t] = static_cast<std::size_t>(same - groups_.begin());
    if (same == groups_.end()) groups_.push_back({terms[t].kind, t});
  }
  // Sum the projected terms of each group.
  size_ = projected.front().rows();
  sum_.setZero(size_ * size_, static_cast<Eigen::Index>(groups_.size()));
  for (std::size_t t = 0; t < terms.size(); ++t)
    if (group_of[t] < terms.size())
      sum_.col(static_cast<Eigen::Index>(group_of[t])) += projected[t].reshaped();
}

Eigen::Map<const Eigen::MatrixXd> ReducedOperator::sum(std::size_t group) const {
  return {sum_.col(static_cast<Eigen::Index>(group)).data(), size_, size_};
}

std::vector<Eigen::MatrixXcd> ReducedOperator::weighed(const Eigen::MatrixXcd& weight) const {
  // [entries, groups] times [groups, (real, imaginary) of each sum], for a few columns of the sums at a time.
  constexpr Eigen::Index basis_vectors_at_once = 16;
  const Eigen::Index count = weight.cols();
  Eigen::MatrixXd parts(weight.rows(), 2 * count);
  parts.leftCols(count) = weight.real();
  parts.rightCols(count) = weight.imag();
  std::vector<Eigen::MatrixXcd> sums(static_cast<std::size_t>(count), Eigen::MatrixXcd(size_, size_));
  Eigen::MatrixXd piece(size_ * basis_vectors_at_once, 2 * count);
  for (Eigen::Index first = 0; first < size_; first += basis_vectors_at_once) {
    const Eigen::Index basis_vectors = std::min(basis_vectors_at_once, size_ - first),
                       entries = size_ * basis_vectors;
    cblas_dgemm(CblasColMajor, CblasNoTrans, CblasNoTrans, as_int(entries), as_int(2 * count),
                as_int(weight.rows()), 1, sum_.data() + first * size_, as_int(sum_.rows()), parts.data(),
                as_int(parts.rows()), 0, piece.data(), as_int(piece.rows()));
    for (Eigen::Index i = 0; i < count; ++i) {
      auto into = sums[static_cast<std::size_t>(i)].middleCols(first, basis_vectors);
      into.real() = piece.col(i).head(entries).reshaped(size_, basis_vectors);
      into.imag() = piece.col(count + i).head(entries).reshaped(size_, basis_vectors);
    }
  }
  return sums;
}

Eigen::MatrixXd projected_term(const WaveMatrices& matrices, const OperatorTerm& term,
                               const BasisMatrix& basis) {
  pin_blas();
  const TouchedProduct touched = touched_product(matrices, term, basis);
  const Eigen::MatrixXd square = projected_on(basis, touched);
  return 0.5 * (square + square.transpose());
}

ModelReducer::ModelReducer(const WaveMatrices& matrices, const Cabin& cabin, std::vector<PointValue> ears,
                           std::vector<PointValue> beyond)
    : matrices_(matrices), cabin_(cabin), ears_(std::move(ears)), sources_(ears_) {
  sources_.insert(sources_.end(), beyond.begin(), beyond.end());
}

void ModelReducer::append(ReducedOrderModel& reduced, BasisMatrix fresh, double least_singular) const {
  // Step 1: remove what the basis already spans (Gram-Schmidt, twice against rounding).
  const Eigen::Index old = reduced.basis.cols();
  if (old > 0) {
    for (Eigen::Index c = 0; c < fresh.cols(); ++c) fresh.col(c) /= std::max(fresh.col(c).norm(), 1e-300);
    for (int pass = 0; pass < 2; ++pass)
      fresh -= product(reduced.basis, transposed_product(reduced.basis, fresh));
    // The remainder is not normalised: a near copy of the old basis stays small and is dropped.
    Eigen::Index remaining = 0;
    for (Eigen::Index c = 0; c < fresh.cols(); ++c)
      if (fresh.col(c).norm() > 1e-6) fresh.col(remaining++) = fresh.col(c);
    fresh.conservativeResize(Eigen::NoChange, remaining);
    if (remaining == 0) return;
  }
  // Step 2: orthonormalise the rest, once more against the old basis.
  fresh = orthonormalised(std::move(fresh), least_singular);
  if (old > 0) fresh -= product(reduced.basis, transposed_product(reduced.basis, fresh));
  BasisMatrix grown_basis;
  if (old > 0) grown_basis = side_by_side({reduced.basis, fresh});
  const BasisMatrix &added = fresh, &all = old > 0 ? grown_basis : fresh;

  // Step 3: project the terms. The old block is unchanged; the new rows and columns are one strip.
  reduced.projected.resize(matrices_.terms().size());
  parallel_for(matrices_.terms().size(), [&](std::size_t t) {
    const TouchedProduct product_of = touched_product(matrices_, matrices_.terms()[t], added);
    const Eigen::MatrixXd strip = projected_on(all, product_of);
    Eigen::MatrixXd grown(all.cols(), all.cols());
    if (old > 0) grown.topLeftCorner(old, old) = reduced.projected[t];
    grown.rightCols(added.cols()) = strip;
    grown.bottomRows(added.cols()) = strip.transpose();
    // Keep the symmetry in spite of rounding.
    grown.bottomRightCorner(added.cols(), added.cols()) =
        0.5 * (strip.bottomRows(added.cols()) + strip.bottomRows(added.cols()).transpose());
    reduced.projected[t] = std::move(grown);
  });
  // Step 4: extend the basis, the ears' coordinates and those of the modes.
  const Eigen::Index count = fresh.cols();
  reduced.basis = old > 0 ? std::move(grown_basis) : std::move(fresh);
  reduced.ear.resize(reduced.basis.cols(), static_cast<Eigen::Index>(ears_.size()));
  for (std::size_t e = 0; e < ears_.size(); ++e)
    reduced.ear.col(static_cast<Eigen::Index>(e)) = reduced.coordinates(ears_[e]);
  const Eigen::Index modes = reduced.mode.cols();
  reduced.mode.conservativeResize(reduced.basis.cols(), modes);
  reduced.mode.bottomRows(count).setZero();
}

BasisMatrix ModelReducer::moments(ComplexSymmetricSolver& solver, const WaveMedium& medium,
                                  double frequency_hz, int count) const {
  // Moment 0: the fields u_0 of unit sources, A u_0 = b.
  const Weights weights(matrices_, cabin_, medium, frequency_hz);
  solver.factor(matrices_.weighed(std::span<const Complex>(weights.value)));
  const Eigen::Index sources = static_cast<Eigen::Index>(sources_.size());
  const Eigen::MatrixXcd field = solver.solve(functionals(sources_, matrices_.degrees_of_freedom()));
  // Moment n, the n-th derivative by k: A u = b differentiated n times gives, as A is quadratic in k,
  // A u_n = -n A' u_(n-1) - n (n-1)/2 A'' u_(n-2).
  const std::vector<Complex> slope = matrices_.weighed(std::span<const Complex>(weights.slope)),
                             curvature = matrices_.weighed(std::span<const Complex>(weights.curvature));
  using Rows = Eigen::Matrix<Complex, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
  std::vector<Rows> moment{field};
  for (int n = 1; n < count; ++n) {
    Rows right = Rows::Zero(field.rows(), sources);
    auto subtract = [&](const std::vector<Complex>& matrix, const Rows& basis_vectors, double factor) {
      for (std::size_t s = 0; s < matrix.size(); ++s) {
        if (matrix[s] == Complex(0)) continue;
        const int i = matrices_.row()[s], j = matrices_.column()[s];
        const Complex entry = factor * matrix[s];
        right.row(i) -= entry * basis_vectors.row(j);
        if (i != j) right.row(j) -= entry * basis_vectors.row(i);
      }
    };
    subtract(slope, moment[n - 1], n);
    if (n > 1) subtract(curvature, moment[n - 2], 0.5 * n * (n - 1));
    moment.push_back(solver.solve(right));
  }
  BasisMatrix basis_vectors(field.rows(), 2 * sources * count);
  for (int n = 0; n < count; ++n) basis_vectors.middleCols(2 * sources * n, 2 * sources) = parted(moment[n]);
  return basis_vectors;
}

BasisMatrix ModelReducer::solved_at(const WaveMedium& medium, const std::vector<double>& frequency_hz,
                                    int count, RigidModes* modes, int max_modes) const {
  const std::size_t degrees_of_freedom = static_cast<std::size_t>(matrices_.degrees_of_freedom()),
                    width = 2 * sources_.size() * static_cast<std::size_t>(count),
                    first = modes != nullptr ? 1 : 0;
  const std::size_t of_modes =
      modes != nullptr ? (degrees_of_freedom + 1) * static_cast<std::size_t>(max_modes) : 0;
  SharedNumbers found(of_modes + frequency_hz.size() * degrees_of_freedom * width + 1);
  const std::span<double> values = found.values();
  // Task 0 computes the modes, each other task the moments at one frequency. Every process makes its solver
  // when it first needs one and reuses it.
  std::unique_ptr<ComplexSymmetricSolver> solver;
  process_for(frequency_hz.size() + first, [&](std::size_t task) {
    if (task < first) {
      const RigidModes lowest = rigid_modes(matrices_, max_modes);
      values[values.size() - 1] = static_cast<double>(lowest.shape.cols());
      std::copy(lowest.wavenumber_per_m.begin(), lowest.wavenumber_per_m.end(), values.begin());
      std::copy_n(lowest.shape.data(), lowest.shape.size(), values.begin() + max_modes);
      return;
    }
    if (!solver)
      solver = std::make_unique<ComplexSymmetricSolver>(matrices_.column_start(), matrices_.row(),
                                                        Precision::single_precision);
    const std::size_t share = task - first;
    const BasisMatrix basis_vectors = moments(*solver, medium, frequency_hz[share], count);
    std::copy_n(basis_vectors.data(), basis_vectors.size(),
                values.begin() + of_modes + share * degrees_of_freedom * width);
  });
  // Collect the results of all processes.
  if (modes != nullptr) {
    const auto got = static_cast<std::size_t>(values.back());
    modes->wavenumber_per_m.assign(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(got));
    modes->shape = Eigen::Map<const Eigen::MatrixXd>(
        values.data() + max_modes, matrices_.degrees_of_freedom(), static_cast<Eigen::Index>(got));
  }
  const BasisMatrix shapes = modes != nullptr ? BasisMatrix(modes->shape) : BasisMatrix();
  std::vector<Eigen::Ref<const BasisMatrix>> parts;
  if (modes != nullptr) parts.emplace_back(shapes);
  for (std::size_t share = 0; share < frequency_hz.size(); ++share)
    parts.emplace_back(
        Eigen::Map<const BasisMatrix>(values.data() + of_modes + share * degrees_of_freedom * width,
                                      matrices_.degrees_of_freedom(), static_cast<Eigen::Index>(width)));
  return side_by_side(parts);
}

ReducedOrderModel ModelReducer::reduce(const WaveMedium& medium, const ReductionOptions& options,
                                       const Progress& progress) const {
  pin_blas();
  auto tell = [&](double done) {
    if (progress) progress(done);
  };
  ReducedOrderModel reduced;
  for (double share : options.shift_shares) reduced.shift_hz.push_back(share * options.top_hz);
  RigidModes modes;
  BasisMatrix solved = solved_at(medium, reduced.shift_hz, options.moments, &modes, options.modes);
  tell(0.6);
  append(reduced, std::move(solved), least_singular_of_tolerance * options.tolerance);
  reduced.mode_wavenumber_per_m = modes.wavenumber_per_m;
  reduced.mode = transposed_product(reduced.basis, BasisMatrix(modes.shape));
  tell(0.75);
  enrich_basis(reduced, medium, options);
  tell(1);
  return reduced;
}

bool ModelReducer::extend_basis(ReducedOrderModel& reduced, const WaveMedium& medium,
                                const ReductionOptions& options) const {
  pin_blas();
  reduced.estimate = worst_of(estimate(reduced, medium, options.top_hz), {}, 0);
  if (reduced.estimate.error <= options.tolerance) return true;
  enrich_basis(reduced, medium, options);
  return false;
}

void ModelReducer::enrich_basis(ReducedOrderModel& reduced, const WaveMedium& medium,
                                const ReductionOptions& options) const {
  for (int extra = 0;;) {
    const std::vector<ReductionEstimate> estimates = estimate(reduced, medium, options.top_hz);
    reduced.estimate = worst_of(estimates, {}, 0);
    if (extra >= options.max_extra_shifts || reduced.estimate.error <= options.tolerance) return;
    // Add two shifts at once where two are needed: otherwise a second core would wait.
    std::vector<double> at_hz{reduced.estimate.frequency_hz};
    const ReductionEstimate second = worst_of(estimates, at_hz, options.top_hz / 8);
    if (second.error > options.tolerance && extra + 1 < options.max_extra_shifts)
      at_hz.push_back(second.frequency_hz);
    BasisMatrix fresh = solved_at(medium, at_hz, options.moments, nullptr, 0);
    // Measure the effectivity against the full solutions before they join the basis.
    const Eigen::Index width = fresh.cols() / static_cast<Eigen::Index>(at_hz.size());
    double effectivity = reduced.effectivity;
    for (std::size_t shift = 0; shift < at_hz.size(); ++shift) {
      const double residual = (shift == 0 ? reduced.estimate : second).error / reduced.effectivity /
                              (sources_.size() > ears_.size() ? stricter_beyond : 1);
      const auto of_shift = fresh.middleCols(static_cast<Eigen::Index>(shift) * width, width);
      if (residual > 0)
        effectivity =
            std::max(effectivity, effectivity_at(reduced, medium, at_hz[shift], of_shift, residual));
    }
    reduced.effectivity = effectivity;
    append(reduced, std::move(fresh), least_singular_of_tolerance * options.tolerance);
    reduced.shift_hz.insert(reduced.shift_hz.end(), at_hz.begin(), at_hz.end());
    extra += static_cast<int>(at_hz.size());
  }
}

double ModelReducer::effectivity_at(const ReducedOrderModel& reduced, const WaveMedium& medium, double at_hz,
                                    const Eigen::Ref<const BasisMatrix>& solved, double residual) const {
  const Eigen::Index ears = reduced.ear.cols();
  Eigen::MatrixXcd field(solved.rows(), ears);
  field.real() = solved.leftCols(ears);
  field.imag() = solved.middleCols(static_cast<Eigen::Index>(sources_.size()), ears);
  const Table<Complex, 2> property = medium.properties(matrices_, cabin_, {at_hz});
  const Eigen::MatrixXcd answer =
      reduced
          .solve(matrices_.terms(), property, {wavenumber_at(at_hz, medium.air.sound_speed_m_s)}, reduced.ear)
          .front();
  Eigen::MatrixXcd missed = field;
  missed.real() -= product(reduced.basis, answer.real());
  missed.imag() -= product(reduced.basis, answer.imag());
  return worst_error(missed, field) / residual;
}

std::vector<ReductionEstimate> ModelReducer::estimate(const ReducedOrderModel& reduced,
                                                      const WaveMedium& medium, double top_hz) const {
  std::vector<ReductionEstimate> worst = estimate(reduced, medium, top_hz, ears_);
  if (sources_.size() == ears_.size()) return worst;
  const auto beyond =
      estimate(reduced, medium, top_hz, {sources_.begin() + static_cast<long>(ears_.size()), sources_.end()});
  for (std::size_t f = 0; f < worst.size(); ++f)
    worst[f].error = std::max(worst[f].error, beyond[f].error) * stricter_beyond;
  return worst;
}

std::vector<ReductionEstimate> ModelReducer::estimate(const ReducedOrderModel& reduced,
                                                      const WaveMedium& medium, double top_hz,
                                                      const std::vector<PointValue>& points) const {
  // Step 1: one source at all points together, with signs that prevent cancellation, represents each of them.
  std::vector<double> frequency{top_hz / 40, top_hz / 25};
  for (int i = 1; i <= 16; ++i) frequency.push_back(top_hz * i / 16);
  Eigen::MatrixXd together = Eigen::VectorXd::Zero(reduced.basis.cols());
  Eigen::VectorXd functional = Eigen::VectorXd::Zero(matrices_.degrees_of_freedom());
  for (std::size_t e = 0; e < points.size(); ++e) {
    const double sign = (e / 2 + e % 2) % 2 == 0 ? 1 : -1;
    together += sign * reduced.coordinates(points[e]);
    for (int i = 0; i < 10; ++i) functional[points[e].degree_of_freedom[i]] += sign * points[e].weight[i];
  }

  // Step 2: solve the reduced-order model at all probe frequencies and expand the fields, real and imaginary
  // parts side by side.
  const Table<Complex, 2> property = medium.properties(matrices_, cabin_, frequency);
  const std::vector<double> wavenumbers = wavenumbers_at(frequency, medium.air.sound_speed_m_s);
  const auto answer = reduced.solve(matrices_.terms(), property, wavenumbers, together);
  Eigen::MatrixXd answers(together.rows(), static_cast<Eigen::Index>(2 * frequency.size()));
  for (std::size_t f = 0; f < frequency.size(); ++f) {
    answers.col(static_cast<Eigen::Index>(2 * f)) = answer[f].real();
    answers.col(static_cast<Eigen::Index>(2 * f + 1)) = answer[f].imag();
  }
  const BasisMatrix fields = product(reduced.basis, answers);
  // Step 3: diagonals of stiffness and mass, for the norm D = diag(K + k^2 M).
  std::vector<double> stiffness_diagonal(static_cast<std::size_t>(matrices_.degrees_of_freedom()), 0.0),
      mass_diagonal = stiffness_diagonal;
  for (const OperatorTerm& term : matrices_.terms()) {
    if (term.kind != OperatorTerm::Kind::stiffness && term.kind != OperatorTerm::Kind::mass) continue;
    auto& diagonal = term.kind == OperatorTerm::Kind::stiffness ? stiffness_diagonal : mass_diagonal;
    for (std::size_t s = 0; s < term.nonzero.size(); ++s)
      if (matrices_.row()[term.nonzero[s]] == matrices_.column()[term.nonzero[s]])
        diagonal[matrices_.row()[term.nonzero[s]]] += term.value[s];
  }
  // Step 4: at each frequency the residual A p_r - b, and eta.
  std::vector<ReductionEstimate> estimates(frequency.size());
  parallel_for(frequency.size(), [&](std::size_t f) {
    std::vector<Complex> weight;
    for (std::size_t t = 0; t < matrices_.terms().size(); ++t)
      weight.push_back(term_weight(matrices_.terms()[t].kind, property(t, f), wavenumbers[f]));
    const std::vector<Complex> system = matrices_.weighed(std::span<const Complex>(weight));
    std::vector<Complex> field(static_cast<std::size_t>(matrices_.degrees_of_freedom())),
        residual(field.size());
    for (std::size_t i = 0; i < field.size(); ++i) {
      const double* parts = fields.row(static_cast<Eigen::Index>(i)).data() + 2 * f;
      field[i] = {parts[0], parts[1]};
      residual[i] = -functional[static_cast<Eigen::Index>(i)];
    }
    for (std::size_t s = 0; s < system.size(); ++s) {
      const int i = matrices_.row()[s], j = matrices_.column()[s];
      residual[i] += system[s] * field[j];
      if (i != j) residual[j] += system[s] * field[i];
    }
    double residual_square = 0, field_square = 0;
    for (std::size_t i = 0; i < field.size(); ++i) {
      const double diagonal = stiffness_diagonal[i] + wavenumbers[f] * wavenumbers[f] * mass_diagonal[i];
      residual_square += std::norm(residual[i]) / diagonal;
      field_square += std::norm(field[i]) * diagonal;
    }
    estimates[f] = {reduced.effectivity * std::sqrt(residual_square / field_square), frequency[f]};
  });
  return estimates;
}

std::vector<Eigen::MatrixXcd> ModelReducer::solve_in_full(const WaveMedium& medium,
                                                          const std::vector<double>& frequency_hz) const {
  pin_blas();
  ComplexSymmetricSolver solver(matrices_.column_start(), matrices_.row());
  std::vector<Eigen::MatrixXcd> fields;
  for (double f : frequency_hz) {
    const Weights weights(matrices_, cabin_, medium, f);
    solver.factor(matrices_.weighed(std::span<const Complex>(weights.value)));
    fields.push_back(solver.solve(functionals(ears_, matrices_.degrees_of_freedom())));
  }
  return fields;
}

Eigen::MatrixXcd ModelReducer::functionals(const std::vector<PointValue>& points, int degrees_of_freedom) {
  Eigen::MatrixXcd functional =
      Eigen::MatrixXcd::Zero(degrees_of_freedom, static_cast<Eigen::Index>(points.size()));
  for (Eigen::Index e = 0; e < functional.cols(); ++e)
    for (int i = 0; i < 10; ++i) functional(points[e].degree_of_freedom[i], e) += points[e].weight[i];
  return functional;
}

}  // namespace cabinfield
