// The one question that every field solver answers: the pressure at each ear per unit volume velocity of each
// driver.
//
// Sources, filters, seats and studies know nothing of how it was solved. Time convention e^{+j omega t}.
#pragma once

#include <memory>
#include <span>
#include <string>
#include <vector>

#include "base/parallel.h"
#include "base/table.h"
#include "base/vector.h"

namespace cabinfield {

/// A driver as the field sees it.
struct Source {
  std::string name;
  Vector3 position = Vector3::Zero();  ///< m; on its surface where it has one
  Vector3 axis = Vector3::UnitX();     ///< unit vector along which it looks
  double piston_radius_m = 0;          ///< 0: a point that radiates alike in all directions
  int face = -1;                       ///< face of the cabin it is flush with, -1 for a free-standing one
  double setback_m = 0;                ///< behind that face: added to every path
  double pod_radius_m = 0;             ///< of a free-standing driver's housing, taken as a sphere
  bool operator==(const Source&) const = default;
};

/// What a listener's body makes of a wave: the pressure at an ear over that at the point asked for, were the
/// listener not there.
class ReceiverPattern {
 public:
  virtual ~ReceiverPattern() = default;
  /// Factor at each frequency of the question, for a wave from a direction (unit vector to where it comes
  /// from).
  virtual void evaluate(const Vector3& arrival, std::span<Complex> factor) const = 0;
  /// In a field of waves much longer than the listener the ear hears what a bare point at this distance from
  /// the one asked for would, m.
  virtual Vector3 long_wave_offset() const = 0;
};

struct FieldQuestion {
  std::vector<Source> sources;  ///< D
  std::vector<Vector3> ears;  ///< N points, m; of an ear with a pattern the point that the pattern refers to
  std::vector<double> frequency_hz;  ///< F, rising
  std::vector<std::shared_ptr<const ReceiverPattern>> patterns =
      {};  ///< [N], null for a bare point; or empty: all bare points
};

struct FieldAnswer {
  Table<Complex, 3> transfer_pa_s_m3;  ///< [D,N,F]
  std::vector<std::string> warnings;   ///< in plain words
  /// Where two fields were joined: how far they agree over the octave of the joint, 0 to 1, and the level of
  /// the upper over that of the lower; both 0 where one of them is silent. [D,N] or empty
  Table<double, 2> join_coherence, join_mismatch_db;
};

/// A solver of the field in one place. Immutable; solve() may be called from several threads.
class Field {
 public:
  virtual ~Field() = default;
  virtual FieldAnswer solve(const FieldQuestion& question, const Progress& progress = {}) const = 0;
};

}  // namespace cabinfield
