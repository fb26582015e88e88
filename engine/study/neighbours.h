// Triangles between points of a lattice on a surface.
#pragma once

#include <array>
#include <vector>

#include "base/vector.h"

namespace cabinfield {

/// Two triangles for every planar square of neighbours `spacing_m` apart, both with the same orientation.
std::vector<std::array<int, 3>> neighbour_triangles(const std::vector<Vector3>& points, double spacing_m);

}  // namespace cabinfield
