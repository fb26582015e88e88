// Departure angles of a path: off the source's axis, and off the wall that the source is flush with.
#pragma once

#include <algorithm>
#include <cmath>

#include "field/field.h"
#include "field/images/path_sum.h"

namespace cabinfield {

/// Sets the departure angle of a path that leaves along `direction` (unit vector). Behind the plane of a
/// driver that is aimed off its wall's normal, psi is 90 degrees: the wall, not the aim, decides what is
/// behind the baffle.
inline void set_departure(Path& path, const Source& source, const Vector3& direction) {
  const double cosine = std::clamp(direction.dot(source.axis), -1.0, 1.0);
  path.cosine_psi = cosine;
  path.sine_psi = cosine <= 0 ? 1.0 : std::sqrt(std::max(0.0, 1 - cosine * cosine));
}

}  // namespace cabinfield
