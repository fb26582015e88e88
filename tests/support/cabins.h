// Cabins that several tests use.
#pragma once

#include "geometry/cabin.h"

namespace cabinfield::test {

CabinShape box_shape_of(const Vector3& size_m, int material = 0);
Cabin box_cabin(const Vector3& size_m, int material = 0);

/// An invented small car: windscreen and tailgate at a slant, doors that lean inward, dash, console, two seat
/// backs.
CabinShape car_shape();
Cabin car_cabin();

/// A random car: outline, sides and up to eight blocks that overlap, touch and stick out. Materials 0 to 3.
Cabin random_cabin(unsigned seed);

/// A random point in the air at least `clear_m` from every surface.
Vector3 random_air_point(const Cabin& cabin, unsigned seed, double clear_m = 0.03);

}  // namespace cabinfield::test
