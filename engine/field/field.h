// The one question that every field solver answers: the pressure at each ear per unit volume velocity of each driver.
//
// Sources, filters, seats and studies know nothing of how it was solved. Time convention e^{+j omega t}.
#pragma once

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
};

struct FieldQuestion {
  std::vector<Source> sources;       ///< D
  std::vector<Vector3> ears;         ///< N points, m
  std::vector<double> frequency_hz;  ///< F, rising
};

struct FieldAnswer {
  Table<Complex, 3> transfer_pa_s_m3;  ///< [D,N,F]
  std::vector<std::string> warnings;   ///< in plain words
};

/// A solver of the field in one place. Immutable; solve() may be called from several threads.
class Field {
 public:
  virtual ~Field() = default;
  virtual FieldAnswer solve(const FieldQuestion& question, const Progress& progress = {}) const = 0;
};

}  // namespace cabinfield
