// The cabin's air and fillings cut into tetrahedra: what the wave field is computed on. Plain data.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "base/vector.h"

namespace cabinfield {

/// A triangle of the boundary, on one face of the cabin.
struct BoundaryTriangle {
  std::array<int, 3> node{};  ///< counter-clockwise seen from the air
  int face = -1;              ///< index into Cabin::faces()
};

/// A triangle of a thin sheet that stands in the air: sound on both of its sides, not the same.
struct SheetTriangle {
  std::array<int, 3> node{};
  int partition = -1;  ///< index into CabinShape::partitions
};

/// Straight-sided tetrahedra that fit each other. Nodes on a sheet are not yet doubled.
struct Mesh {
  static constexpr int air = -1;

  std::vector<Vector3> node;                    ///< m
  std::vector<std::array<int, 4>> tetrahedron;  ///< of positive volume: (b - a) x (c - a) . (d - a) > 0
  std::vector<int> region;                      ///< of each tetrahedron: index of its filled block, or air
  std::vector<BoundaryTriangle> boundary;       ///< all of it, each once
  std::vector<SheetTriangle> sheet;             ///< each once
  std::vector<std::string> notes;               ///< what had to be moved to mesh it, in words

  double volume_m3() const;
};

}  // namespace cabinfield
