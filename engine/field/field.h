// The interface of all field solvers: transfer functions, the pressure at each ear per unit volume velocity
// of each source.
//
// Sources, filters, seats and studies do not depend on the solver. Time convention e^{+j omega t}.
#pragma once

#include <memory>
#include <span>
#include <string>
#include <vector>

#include "base/parallel.h"
#include "base/table.h"
#include "base/vector.h"

namespace cabinfield {

/// A driver as a source of the field.
struct Source {
  std::string name;
  Vector3 position = Vector3::Zero();  ///< m; on its surface where it has one
  Vector3 axis = Vector3::UnitX();     ///< unit vector of the radiation axis
  double piston_radius_m = 0;          ///< 0: an omnidirectional point source
  int face = -1;                       ///< face of the cabin it is flush with, -1 for a free-standing one
  double setback_m = 0;                ///< behind that face: added to every path
  double pod_radius_m = 0;             ///< of a free-standing driver's housing, taken as a sphere
  bool operator==(const Source&) const = default;
};

/// Head-related transfer function: the pressure at an ear over that at a reference point without the
/// listener.
class ReceiverPattern {
 public:
  virtual ~ReceiverPattern() = default;
  /// Factor at each frequency of the question, for a wave from a direction (unit vector to where it comes
  /// from).
  virtual void evaluate(const Vector3& arrival, std::span<Complex> factor) const = 0;
  /// Position, relative to the reference point, of the bare point that is equivalent to the ear for waves
  /// much longer than the listener, m.
  virtual Vector3 long_wave_offset() const = 0;
};

struct FieldQuestion {
  std::vector<Source> sources;       ///< D
  std::vector<Vector3> ears;         ///< N points, m; the reference point of an ear with a pattern
  std::vector<double> frequency_hz;  ///< F, rising
  /// [N], null for a bare point; empty: all are bare points
  std::vector<std::shared_ptr<const ReceiverPattern>> patterns = {};
};

struct FieldAnswer {
  Table<Complex, 3> transfer_pa_s_m3;  ///< [D,N,F]
  std::vector<std::string> warnings;   ///< as text
  /// Of a joined field: coherence of the two fields over the joining octave, 0 to 1, and level of the upper
  /// over the lower, dB; both 0 where one of them is silent. [D,N] or empty
  Table<double, 2> join_coherence, join_mismatch_db;
};

/// A field solver. solve() may be called from several threads.
class Field {
 public:
  virtual ~Field() = default;
  virtual FieldAnswer solve(const FieldQuestion& question, const Progress& progress = {}) const = 0;
};

}  // namespace cabinfield
