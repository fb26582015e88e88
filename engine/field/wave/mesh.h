// Tetrahedral mesh of the cabin's air and fillings, on which the wave field is computed. Plain data.
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

/// A triangle of a thin sheet (a partition) in the air: the pressures on its two sides differ.
struct SheetTriangle {
  std::array<int, 3> node{};
  int partition = -1;  ///< index into CabinShape::partitions
};

/// Straight-sided conforming tetrahedra. Nodes on a sheet are single; the finite-element space doubles them.
struct Mesh {
  static constexpr int air = -1;

  std::vector<Vector3> node;                    ///< m
  std::vector<std::array<int, 4>> tetrahedron;  ///< of positive volume: (b - a) x (c - a) . (d - a) > 0
  std::vector<int> region;                      ///< of each tetrahedron: index of its filled block, or air
  std::vector<BoundaryTriangle> boundary;       ///< all of it, each once
  std::vector<SheetTriangle> sheet;             ///< each once
  std::vector<std::string> notes;               ///< what was moved to mesh it, as text

  double volume_m3() const;
};

}  // namespace cabinfield
