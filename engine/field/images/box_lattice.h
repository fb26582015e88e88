// The whole lattice of images of an empty box, to any order (Allen & Berkley, J. Acoust. Soc. Am. 65 (1979)
// 943).
//
// Along one axis of length L a source at x has images at (1 - 2u) x + 2 l L, u in {0, 1}, l any whole number,
// which have met the wall at 0 |l - u| times and the wall at L |l| times. A source flush with a wall
// coincides with its first image there: of each such pair the path that does not start by meeting that wall
// is kept, and carries the departure factor 1 + R_own.
#pragma once

#include <functional>
#include <memory>

#include "field/field.h"
#include "field/images/path_sum.h"
#include "geometry/cabin.h"

namespace cabinfield {

/// Walls of an empty box in the lattice's own terms.
struct LatticeBox {
  Vector3 least = Vector3::Zero(), size = Vector3::Zero();  ///< m
  std::array<std::array<int, 2>, 3> material{};             ///< [axis][low, high]
  std::array<std::array<int, 2>, 3> face{};                 ///< index of the face there
};

/// True where the cabin is a box with nothing in it and one material a wall.
bool is_empty_box(const Cabin& cabin);
LatticeBox lattice_box(const Cabin& cabin);

/// Calls `found` with each path of at most `order` reflections from the source to the ear, in a fixed order.
/// No memory grows with their number, which is about (2 order)^3 / 6.
void for_each_lattice_path(const LatticeBox& box, const Source& source, const Vector3& ear, int order,
                           const std::function<void(const Path&)>& found);

}  // namespace cabinfield
