// Reduced-order model of the wave field of one cabin: a reduced basis of a few hundred vectors, solved once,
// from which a driver at any position costs almost nothing.
//
// Galerkin projection on a real orthonormal basis V: A_r(f) = V^T A(f) V = sum_t w_t(f) V^T A_t V. The basis
// spans the rigid modes and, at a handful of shifts (frequencies solved in full), the reciprocal solution of
// each ear with its derivatives in frequency, real and imaginary parts as separate vectors, so that the
// projected terms stay symmetric and every wall stays passive. By reciprocity the field of a unit source at
// an ear, anywhere in the cabin, is what a driver there gives that ear. Moment matching: Grimme, Krylov
// projection methods for model reduction (1997). Greedy enrichment: shifts are added where the error estimate
// is largest (e.g. Quarteroni, Manzoni & Negri, Reduced Basis Methods for Partial Differential Equations, ch.
// 7, from memory).
//
// Error. One norm throughout: for each ear's reciprocal solution p and its approximation p_r,
//   e = (the value that |p_r - p| exceeds at no more than a thousandth of the nodes) / (RMS of |p| over the
//   nodes), the largest over the ears.
// Estimate. The residual r = A p_r - b is measured in the diagonal norm of D = diag(K + k^2 M), with K the
// sum of the stiffness terms and M that of the mass terms of air:
//   eta = sqrt(sum_i |r_i|^2/D_i) / sqrt(sum_i D_i |p_r,i|^2),
// a discrete dual norm of the residual over an energy norm of the field. e is estimated as effectivity * eta.
// The effectivity e/eta is measured wherever a shift is added, because p is known there, and only grows. This
// is an estimate, not a bound.
#pragma once

#include <Eigen/Core>
#include <vector>

#include "base/parallel.h"
#include "field/wave/finite_element_space.h"
#include "field/wave/wave_matrices.h"
#include "field/wave/wave_medium.h"

namespace cabinfield {

class ComplexSymmetricSolver;
struct RigidModes;

struct ReductionOptions {
  double top_hz = 400;       ///< highest frequency of the model
  double tolerance = 0.015;  ///< estimated error above which the basis is enriched
  int max_extra_shifts = 4;
  int modes = 24;   ///< rigid modes in the basis
  int moments = 3;  ///< moments of each ear at each shift: the field and its derivatives in frequency
  /// First shifts over the top frequency. With six of them, errors near a null reached 5 %.
  std::vector<double> shift_shares = {0.04, 0.12, 0.25, 0.4, 0.55, 0.7, 0.85, 0.97};
};

/// Estimated error of the reduced-order model in the norm e above, and the probed frequency at which it is
/// largest.
struct ReductionEstimate {
  double error = 0;
  double frequency_hz = 0;
};

/// The projected terms, those of equal kind and material added up.
class ReducedOperator {
 public:
  /// Terms of one kind are grouped where their properties are equal at all given frequencies: give enough to
  /// distinguish the materials. [terms, F]
  ReducedOperator(const std::vector<OperatorTerm>& terms, const std::vector<Eigen::MatrixXd>& projected,
                  const Table<Complex, 2>& properties);

  struct Group {
    OperatorTerm::Kind kind;
    std::size_t term;  ///< one of its terms
  };
  const std::vector<Group>& groups() const { return groups_; }
  /// Sum of the projected terms of a group. [basis vectors, basis vectors]
  Eigen::Map<const Eigen::MatrixXd> sum(std::size_t group) const;

  /// sum_g weight(g, i) * group g, for each i. Weights: [groups, i].
  std::vector<Eigen::MatrixXcd> weighed(const Eigen::MatrixXcd& weight) const;

 private:
  std::vector<Group> groups_;
  Eigen::Index size_ = 0;
  Eigen::MatrixXd sum_;  // [basis vectors squared, groups]
};

/// The model as plain values, as the cabin cache stores it. B basis vectors.
struct ReducedOrderModel {
  BasisMatrix basis;                       ///< [degrees of freedom, B], orthonormal
  std::vector<Eigen::MatrixXd> projected;  ///< of each term [B, B]
  Eigen::MatrixXd ear;                     ///< interpolation at the ears, projected [B, ears]
  Eigen::MatrixXd mode;                    ///< rigid modes in the basis [B, modes]
  std::vector<double> mode_wavenumber_per_m;
  std::vector<double> shift_hz;  ///< frequencies that were solved in full
  ReductionEstimate estimate;
  /// Error e over residual eta. Starts with the largest value of three furnished cars; grows where a larger
  /// one is measured.
  double effectivity = 30;

  /// Values of the basis vectors at a point. [B]
  Eigen::VectorXd coordinates(const PointValue& point) const;

  /// A_r(f)^-1 times each right-hand side. [F] of [B, right-hand sides]; the same bits for any number of
  /// threads. Throws SolverFailure.
  std::vector<Eigen::MatrixXcd> solve(const std::vector<OperatorTerm>& terms,
                                      const Table<Complex, 2>& properties,
                                      const std::vector<double>& wavenumber_per_m,
                                      const Eigen::MatrixXd& right_hand_side) const;
};

/// basis^T term basis.
Eigen::MatrixXd projected_term(const WaveMatrices& matrices, const OperatorTerm& term,
                               const BasisMatrix& basis);

/// Builds a reduced basis and enriches it where the error estimate is too large.
class ModelReducer {
 public:
  /// Matrices and cabin must outlive the reducer. `beyond` are points in parts of the cabin that partitions
  /// separate from every ear: the ears' fields are weak there, so sources at these points are added to the
  /// basis.
  ModelReducer(const WaveMatrices& matrices, const Cabin& cabin, std::vector<PointValue> ears,
               std::vector<PointValue> beyond = {});

  ReducedOrderModel reduce(const WaveMedium& medium, const ReductionOptions& options,
                           const Progress& progress = {}) const;

  /// Enriches the basis for other materials. True where the estimate is within the tolerance and nothing was
  /// added.
  bool extend_basis(ReducedOrderModel& reduced, const WaveMedium& medium,
                    const ReductionOptions& options) const;

  /// Reciprocal solutions of the full system. [F] of [degrees of freedom, ears]
  std::vector<Eigen::MatrixXcd> solve_in_full(const WaveMedium& medium,
                                              const std::vector<double>& frequency_hz) const;

 private:
  struct Weights;
  static Eigen::MatrixXcd functionals(const std::vector<PointValue>& points, int degrees_of_freedom);
  /// At probe frequencies over the whole range, for the ears and for the points beyond.
  std::vector<ReductionEstimate> estimate(const ReducedOrderModel& reduced, const WaveMedium& medium,
                                          double top_hz) const;
  std::vector<ReductionEstimate> estimate(const ReducedOrderModel& reduced, const WaveMedium& medium,
                                          double top_hz, const std::vector<PointValue>& points) const;
  /// Adds the part of `fresh` that is linearly independent of the basis and projects the terms on it.
  void append(ReducedOrderModel& reduced, BasisMatrix fresh, double least_singular) const;
  /// Fields of the sources and their derivatives by the wavenumber, real and imaginary parts side by side.
  BasisMatrix moments(ComplexSymmetricSolver& solver, const WaveMedium& medium, double frequency_hz,
                      int count) const;
  /// The lowest `max_modes` modes (unless null), then moments at each frequency, in as many processes as
  /// there are threads.
  BasisMatrix solved_at(const WaveMedium& medium, const std::vector<double>& frequency_hz, int count,
                        RigidModes* modes, int max_modes) const;
  void enrich_basis(ReducedOrderModel& reduced, const WaveMedium& medium,
                    const ReductionOptions& options) const;
  /// Error e over residual eta at a shift, where the full solution is known.
  double effectivity_at(const ReducedOrderModel& reduced, const WaveMedium& medium, double at_hz,
                        const Eigen::Ref<const BasisMatrix>& solved, double residual) const;

  const WaveMatrices& matrices_;
  const Cabin& cabin_;
  std::vector<PointValue> ears_, sources_;  // sources_: the ears, then the points beyond
};

}  // namespace cabinfield
