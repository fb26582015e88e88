// Cabins with awkward arrangements of blocks, and their volume without a mesher.
#pragma once

#include "geometry/cabin_shape.h"

namespace cabinfield::test {

/// The invented small car's shell with 3 to 8 blocks that overlap, touch, extend outside and float; faces
/// 0.01 to 1 mm apart, and exactly flush ones, among them. Some are cuts.
CabinShape random_arrangement(unsigned seed);

/// Inside the shell, and in no solid unless in a cut; filled blocks count as air. In columns across the
/// cabin, 5 mm apart and between all corners, each exact; m3.
double hollow_volume_m3(const CabinShape& shape);

/// Area of all faces of blocks, m2.
double block_area_m2(const CabinShape& shape);

}  // namespace cabinfield::test
