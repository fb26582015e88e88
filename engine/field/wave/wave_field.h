// The wave field: the cabin's sound below a few hundred hertz, by the finite-element method and a
// reduced-order model, so that a driver at any position costs almost nothing.
//
// A flush driver is a point source on its surface, so its own wall, rigid or not, acts on it as on every
// wave. Losses within the air (under 0.01 dB over 10 m at 400 Hz) are neglected.
//
// Mesh size. Mean edge length h = min(0.25 m, lambda/7) at the top frequency, 14 nodes a wavelength with
// second-order elements; 0.8 h at edges that protrude into the air, where the field is singular. The relative
// error of the gradient is C1 (k h/2p)^p + C2 k L (k h/2p)^(2p) for order p over the length L (Ihlenburg &
// Babuska, SIAM J. Numer. Anal. 34 (1997) 315, from memory): here k h/2p = 0.22, so the second term, which
// grows with the size of the cabin, stays small.
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

/// Largest distance from the ears of the basis at which another ear is allowed, m.
inline constexpr double ears_reach_m = 0.15;

struct WaveOptions {
  double top_hz = 400;    ///< highest frequency of the field
  double refinement = 1;  ///< divides the mesh size
  double memory_gb = 4;   ///< limit of the solution's memory
  /// False: the basis of a solved cabin is used unchanged, whatever its materials are now.
  bool enrich = true;
};

/// The cabin needs more memory than allowed; the message says how much, and up to which frequency it fits.
class TooLarge : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// A solved cabin: mesh, matrices, ears and reduced-order model, as the cabin cache stores it.
struct WaveCabin {
  std::shared_ptr<const FiniteElementSpace> space;
  std::shared_ptr<const WaveMatrices> matrices;
  std::vector<Vector3> ears;  ///< m
  ReducedOrderModel reduced;
};

/// The same solved cabin for a cabin of equal shape whose faces have other materials, so that its walls are
/// grouped differently.
WaveCabin regrouped(WaveCabin solved, const Cabin& cabin);

class WaveField : public Field {
 public:
  /// Meshes the cabin and builds the reduced-order model. The cabin must outlive the field. Throws
  /// MeshFailure, TooLarge, SolverFailure.
  WaveField(const Cabin& cabin, WaveMedium medium, std::vector<Vector3> ears, const WaveOptions& options,
            const Progress& progress = {});
  /// Reuses a solved cabin with these materials: unchanged where the error estimate is within the tolerance,
  /// else with an enriched basis. Throws SolverFailure.
  WaveField(const Cabin& cabin, WaveMedium medium, WaveCabin solved, const WaveOptions& options);

  /// The ears of the question (those with a pattern at their long-wave positions, see long_wave_ear) must be
  /// ears of the field or within ears_reach_m of one (else std::invalid_argument): the basis is made for the
  /// field's ears, and errors grow with the distance from them.
  FieldAnswer solve(const FieldQuestion& question, const Progress& progress = {}) const override;

  const WaveCabin& solved() const { return solved_; }
  const WaveMedium& medium() const { return medium_; }
  /// Whether the basis of a solved cabin needed no enrichment for these materials.
  bool basis_sufficed() const { return basis_sufficed_; }

  std::vector<CabinMode> modes(double top_hz) const;

  /// Whether any path leads from source to ear through air, fillings, openings and partitions that transmit
  /// sound.
  bool reaches(const Source& source, const Vector3& ear) const;

  /// Reciprocal solutions in the basis, without the factor j omega rho. [F] of [basis vectors, ears]; ears as
  /// for solve.
  std::vector<Eigen::MatrixXcd> reciprocal_coordinates(const std::vector<Vector3>& ears,
                                                       const std::vector<double>& frequency_hz) const;
  /// Values of the basis vectors at a source. Throws std::invalid_argument more than 50 mm outside the air.
  Eigen::VectorXd basis_at(const Source& source) const;
  /// Values of the basis vectors at some points. [points, basis vectors]
  BasisMatrix basis_at(const std::vector<PointValue>& points) const;
  /// Pressure at points (basis_at) per unit volume velocity of each source, Pa s/m3. [points, sources]
  Eigen::MatrixXcd transfer_to(const BasisMatrix& points, const std::vector<Source>& sources,
                               double frequency_hz) const;

  /// Approximate number of degrees of freedom of a cabin of that volume.
  static double expected_degrees_of_freedom(double volume_m3, const WaveOptions& options, const Air& air);

 private:
  PointValue value_at(const Source& source) const;
  Eigen::VectorXd ear_coordinates(const Vector3& ear) const;

  const Cabin& cabin_;
  WaveMedium medium_;
  WaveCabin solved_;
  std::vector<int> components_;  // connected component of each tetrahedron
  bool basis_sufficed_ = true;
};

/// Position of an ear in a field of waves much longer than the listener: an ear with a pattern is then the
/// bare point that ReceiverPattern::long_wave_offset gives.
Vector3 long_wave_ear(const FieldQuestion& question, std::size_t ear);

}  // namespace cabinfield
