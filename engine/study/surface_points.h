// Points all over a surface where a driver could be mounted.
#pragma once

#include <string>
#include <vector>

#include "base/vector.h"
#include "geometry/cabin.h"

namespace cabinfield {

/// Most points on one surface.
inline constexpr std::size_t most_surface_points = 1'000'000;

/// Points on a surface, `spacing_m` apart along it, each with at least `margin_m` of wall all round and air
/// in front; rounded to 0.1 mm. They lie on a lattice fixed in the car, which contains the lattice of twice
/// the spacing and is symmetric about the middle plane. Order: the surface's faces, then along the car or up,
/// then across. Empty if there is no such surface, no point fits, or there would be more than
/// most_surface_points.
std::vector<Vector3> surface_points(const Cabin& cabin, const std::string& surface, double spacing_m,
                                    double margin_m);

}  // namespace cabinfield
