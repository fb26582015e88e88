// Triangles between points of a lattice on a surface.
#pragma once

#include <array>
#include <vector>

#include "base/vector.h"

namespace cabinfield {

/// Two for every square of neighbours that lie `spacing_m` apart and in a plane, both with the same turn as
/// far as the lattice has one.
std::vector<std::array<int, 3>> neighbour_triangles(const std::vector<Vector3>& points, double spacing_m);

}  // namespace cabinfield
