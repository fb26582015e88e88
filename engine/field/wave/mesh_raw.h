// A mesh as passed from the mesher's process to this one.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "base/vector.h"

namespace cabinfield {

/// Unchecked output of the mesher.
struct RawMesh {
  std::vector<Vector3> node;
  std::vector<std::array<int, 4>> tetrahedron;
  std::vector<int> body;  ///< of each tetrahedron: index into the two below
  std::vector<int> body_region;
  std::vector<double> body_volume_m3;  ///< from the geometry kernel
  std::vector<std::array<int, 3>> sheet;
  std::vector<int> sheet_partition;

  std::string bytes() const;
  /// Throws std::runtime_error for incomplete bytes.
  static RawMesh of(const std::string& bytes);
};

}  // namespace cabinfield
