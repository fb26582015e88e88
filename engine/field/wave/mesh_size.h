// How long the edges of the mesh are to be, from place to place.
#pragma once

#include <array>
#include <vector>

#include "base/vector.h"

namespace cabinfield {

/// Short at some edges of the cabin, growing away from them. Asked some hundred thousand times: the edges
/// within reach of a place are looked up.
class MeshSize {
 public:
  using Edge = std::array<Vector3, 2>;
  /// Within the box from `least` to `most`, m.
  MeshSize(double open_m, double at_edge_m, std::vector<Edge> edges, const Vector3& least,
           const Vector3& most);

  double at(const Vector3& point) const;

 private:
  std::size_t cell_of(const std::array<int, 3>& at) const;
  std::array<int, 3> place_of(const Vector3& point) const;

  double open_m_, at_edge_m_;
  std::vector<Edge> edges_;
  Vector3 least_;
  std::array<int, 3> cells_{};
  std::vector<std::vector<int>> near_;  // edges within reach of each cell
};

}  // namespace cabinfield
