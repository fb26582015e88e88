// The lattice of images of an empty box, to any order (Allen & Berkley, J. Acoust. Soc. Am. 65 (1979)
// 943).
//
// Along one axis of length L a source at x has images at (1 - 2u) x + 2 l L, u in {0, 1}, l any whole number,
// with |l - u| reflections at the wall at 0 and |l| at the wall at L. A source flush with a wall coincides
// with its first image there: of each such pair only the path that does not start with a reflection at that
// wall counts, with the departure factor 1 + R_own.
#pragma once

#include <functional>
#include <memory>

#include "field/field.h"
#include "field/images/path_sum.h"
#include "geometry/cabin.h"

namespace cabinfield {

/// Walls of an empty box, by axis and end.
struct LatticeBox {
  Vector3 least = Vector3::Zero(), size = Vector3::Zero();  ///< m
  std::array<std::array<int, 2>, 3> material{};             ///< [axis][low, high]
  std::array<std::array<int, 2>, 3> face{};                 ///< index of the face there
};

/// Whether the cabin is an empty box with one material on each wall.
bool is_empty_box(const Cabin& cabin);
LatticeBox lattice_box(const Cabin& cabin);

/// Calls `found` with each path of at most `order` reflections from the source to the ear, in a fixed order.
/// Memory does not grow with their number, about (2 order)^3 / 6.
void for_each_lattice_path(const LatticeBox& box, const Source& source, const Vector3& ear, int order,
                           const std::function<void(const Path&)>& found);

}  // namespace cabinfield
