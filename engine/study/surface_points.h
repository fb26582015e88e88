// Points all over a surface, where the hole for a driver could be.
#pragma once

#include <string>
#include <vector>

#include "base/vector.h"
#include "geometry/cabin.h"

namespace cabinfield {

/// More points than this on one surface are not made.
inline constexpr std::size_t most_surface_points = 1'000'000;

/// Points on a surface, `spacing_m` apart along it, each with at least `margin_m` of wall all round and the
/// air before it; rounded to 0.1 mm. They lie on a lattice that is fixed in the car: that of twice the
/// spacing is a part of it, and of what is symmetric about the middle plane the points are so too. In order
/// of the surface's faces, then along the car or up, then across. Empty where there is no such surface, where
/// none fits, or where they would be too many.
std::vector<Vector3> surface_points(const Cabin& cabin, const std::string& surface, double spacing_m,
                                    double margin_m);

}  // namespace cabinfield
