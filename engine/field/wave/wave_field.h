// The wave field: the cabin's sound below some hundreds of hertz, by finite elements, reduced so that a
// driver anywhere costs next to nothing.
//
// A flush driver is a point of its surface, so its own wall, rigid or not, is there as for every wave. The
// loss of sound within the air itself (under 0.01 dB over 10 m at 400 Hz) is left out.
#pragma once

#include <memory>
#include <stdexcept>
#include <string>
#include <vector>

#include "field/field.h"
#include "field/wave/cabin_modes.h"
#include "field/wave/mesher.h"
#include "field/wave/reduced_order_model.h"
#include "field/wave/wave_medium.h"

namespace cabinfield {

/// How far from the ears that its columns were made for a field may be asked.
inline constexpr double ears_reach_m = 0.15;

struct WaveOptions {
  double top_hz = 400;    ///< highest frequency that is asked for
  double refinement = 1;  ///< elements are smaller by this factor than the usual seventh of a wavelength
  double memory_gb = 4;   ///< what the solution may take
  /// False: columns of a cabin solved before are taken as they are, whatever its materials are now.
  bool enrich = true;
};

/// The cabin needs more memory than it may take; says how much and up to which frequency it would fit.
class TooLarge : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// A cabin cut into elements, with its ears and its columns: what can be kept and used again.
struct WaveCabin {
  std::shared_ptr<const FiniteElementSpace> space;
  std::shared_ptr<const WaveMatrices> matrices;
  std::vector<Vector3> ears;  ///< m
  ReducedOrderModel reduced;
};

/// The same for a cabin of the same shape whose faces carry other materials: its walls may be grouped
/// otherwise.
WaveCabin regrouped(WaveCabin solved, const Cabin& cabin);

class WaveField : public Field {
 public:
  /// Meshes and reduces. The cabin must outlive the field. Throws MeshFailure, TooLarge, SolverFailure.
  WaveField(const Cabin& cabin, WaveMedium medium, std::vector<Vector3> ears, const WaveOptions& options,
            const Progress& progress = {});
  /// Takes up a cabin that was solved before, with these materials: as it is where the estimate holds, else
  /// with more columns. Throws SolverFailure.
  WaveField(const Cabin& cabin, WaveMedium medium, WaveCabin solved, const WaveOptions& options);

  /// The question's ears (moved to where patterns want them in long waves) must be among those of the field,
  /// or within ears_reach_m of one: the columns are made for those, and beside them miss somewhat more
  /// (std::invalid_argument).
  FieldAnswer solve(const FieldQuestion& question, const Progress& progress = {}) const override;

  const WaveCabin& solved() const { return solved_; }
  const WaveMedium& medium() const { return medium_; }
  /// Where materials changed: the columns of before were enough.
  bool basis_sufficed() const { return basis_sufficed_; }

  std::vector<CabinMode> modes(double top_hz) const;

  /// True where sound gets from the one to the other through air, fillings, partitions that pass or their
  /// openings.
  bool reaches(const Source& source, const Vector3& ear) const;

  /// What each ear's unit source makes of the columns, at each frequency: [F] of [columns, ears], without the
  /// factor j omega rho. Ears as for solve.
  std::vector<Eigen::MatrixXcd> fields_of_ears(const std::vector<Vector3>& ears,
                                               const std::vector<double>& frequency_hz) const;
  /// What the columns are where a source is. Throws std::invalid_argument more than 50 mm outside the air.
  Eigen::VectorXd place_of(const Source& source) const;
  /// What the columns are at some points. [points, columns]
  BasisMatrix columns_at(const std::vector<PointValue>& points) const;
  /// Pressure at points, given by what the columns are there, per unit volume velocity of each source, Pa
  /// s/m3. [points, sources]
  Eigen::MatrixXcd transfer_to(const BasisMatrix& points, const std::vector<Source>& sources,
                               double frequency_hz) const;

  /// Unknowns that a cabin of that volume has, about.
  static double expected_degrees_of_freedom(double volume_m3, const WaveOptions& options, const Air& air);

 private:
  PointValue value_at(const Source& source) const;
  Eigen::VectorXd ear_coordinates(const Vector3& ear) const;

  const Cabin& cabin_;
  WaveMedium medium_;
  WaveCabin solved_;
  std::vector<int> pieces_;
  bool basis_sufficed_ = true;
};

/// Where an ear with a pattern stands in a field of waves much longer than the listener.
Vector3 long_wave_ear(const FieldQuestion& question, std::size_t ear);

}  // namespace cabinfield
