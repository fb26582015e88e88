// The wave field of one cabin on a few hundred columns: solve once, place drivers for free.
//
// Galerkin projection on real columns: rigid modes, and at a handful of frequencies the field of a unit
// source at each ear with its first derivative in frequency, real and imaginary parts apart (so that the
// projected matrices stay symmetric and every wall stays passive). By reciprocity the field of a source at an
// ear, all over the cabin, is what a driver anywhere gives that ear. Moment matching: Grimme, Krylov
// projection methods for model reduction (1997); with modes as a guard between the moments.
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
  double top_hz = 400;       ///< highest frequency that is asked for
  double tolerance = 0.015;  ///< estimated error above which one more frequency is solved in full
  int most_extra_shifts = 4;
  int modes = 24;   ///< rigid modes among the columns
  int moments = 3;  ///< a field and its derivatives in frequency that each ear gives at each shift
  /// First shifts over the top frequency. With six of them places near a null missed by up to 5 %.
  std::vector<double> shift_shares = {0.04, 0.12, 0.25, 0.4, 0.55, 0.7, 0.85, 0.97};
};

/// What the columns were found to miss: root mean square over the cabin of the error of the pressure, over
/// that of the pressure, at the worst of the frequencies looked at.
struct ReductionEstimate {
  double error = 0;
  double frequency_hz = 0;
};

/// The reduced matrices, those of one kind and one material added up. Valid for as long as the cabin lives.
class ReducedOperator {
 public:
  /// Terms are one where their properties are alike at every frequency given (of all that the system will be
  /// asked for, enough to tell materials apart). [terms, F]
  ReducedOperator(const std::vector<OperatorTerm>& terms, const std::vector<Eigen::MatrixXd>& projected,
                  const Table<Complex, 2>& properties);

  struct Group {
    OperatorTerm::Kind kind;
    std::size_t term;  ///< one that it stands for
  };
  const std::vector<Group>& groups() const { return groups_; }
  /// What the terms of a group add up to. [columns, columns]
  Eigen::Map<const Eigen::MatrixXd> sum(std::size_t group) const;

  /// sum_g weight(g, i) * group g, for each i. Weights: [groups, i].
  std::vector<Eigen::MatrixXcd> weighed(const Eigen::MatrixXcd& weight) const;

 private:
  std::vector<Group> groups_;
  Eigen::Index size_ = 0;
  Eigen::MatrixXd sum_;  // [columns * columns, groups]
};

/// The reduced cabin. Plain values: what a stored cabin holds.
struct ReducedOrderModel {
  BasisMatrix basis;                       ///< [unknowns, columns], orthonormal
  std::vector<Eigen::MatrixXd> projected;  ///< of each term [columns, columns]
  Eigen::MatrixXd ear;   ///< functionals of the ears in the columns' coordinates [columns, ears]
  Eigen::MatrixXd mode;  ///< rigid modes in the columns' coordinates [columns, modes]
  std::vector<double> mode_wavenumber_per_m;
  std::vector<double> shift_hz;  ///< frequencies that were solved in full
  ReductionEstimate estimate;
  /// Error over residual. At first what it was at the worst in three furnished cars; higher where it was
  /// found to be.
  double effectivity = 30;

  Eigen::VectorXd coordinates(const PointValue& point) const;

  /// A(f)^-1 of each right-hand side, in the columns' coordinates: at frequency f, [columns, right-hand
  /// sides]. The same bits for any number of threads. Throws SolverFailure.
  std::vector<Eigen::MatrixXcd> solve(const std::vector<OperatorTerm>& terms,
                                      const Table<Complex, 2>& properties,
                                      const std::vector<double>& wavenumber_per_m,
                                      const Eigen::MatrixXd& right_hand_side) const;
};

/// A term on the columns: basis^T term basis.
Eigen::MatrixXd projected_term(const WaveMatrices& matrices, const OperatorTerm& term,
                               const BasisMatrix& basis);

/// Builds the columns, and adds to them where they do not do.
class ModelReducer {
 public:
  /// All must outlive the reducer. `beyond` are points in parts of the cabin that are cut off from every ear
  /// by a partition: little of the ears' fields gets there, so the columns are told of it by sources there.
  ModelReducer(const WaveMatrices& matrices, const Cabin& cabin, std::vector<PointValue> ears,
               std::vector<PointValue> beyond = {});

  ReducedOrderModel reduce(const WaveMedium& medium, const ReductionOptions& options,
                           const Progress& progress = {}) const;

  /// The same columns where the estimate holds with these materials, else more of them. True where it held.
  bool extend_basis(ReducedOrderModel& reduced, const WaveMedium& medium,
                    const ReductionOptions& options) const;

  /// The field of a unit source at each ear, solved in full at each frequency. [F] of [unknowns, ears]
  std::vector<Eigen::MatrixXcd> solve_in_full(const WaveMedium& medium,
                                              const std::vector<double>& frequency_hz) const;

 private:
  struct Weights;
  static Eigen::MatrixXcd functionals(const std::vector<PointValue>& points, int degrees_of_freedom);
  /// At each of some frequencies spread over all that is asked for.
  std::vector<ReductionEstimate> estimate(const ReducedOrderModel& reduced, const WaveMedium& medium,
                                          double top_hz) const;
  std::vector<ReductionEstimate> estimate(const ReducedOrderModel& reduced, const WaveMedium& medium,
                                          double top_hz, const std::vector<PointValue>& points) const;
  void append(ReducedOrderModel& reduced, BasisMatrix fresh, double least_singular) const;
  BasisMatrix moments(ComplexSymmetricSolver& solver, const WaveMedium& medium, double frequency_hz,
                      int count) const;
  /// The lowest modes where they are asked for, then moments at each frequency, in as many processes as there
  /// may be threads.
  BasisMatrix solved_at(const WaveMedium& medium, const std::vector<double>& frequency_hz, int count,
                        RigidModes* modes, int most_modes) const;
  void enrich_basis(ReducedOrderModel& reduced, const WaveMedium& medium,
                    const ReductionOptions& options) const;
  /// What the residual has to be multiplied with to be the error, where the field is known in full.
  double effectivity_at(const ReducedOrderModel& reduced, const WaveMedium& medium, double at_hz,
                        const Eigen::Ref<const BasisMatrix>& solved, double residual) const;

  const WaveMatrices& matrices_;
  const Cabin& cabin_;
  std::vector<PointValue> ears_, sources_;  // sources: the ears, then the points beyond
};

}  // namespace cabinfield
