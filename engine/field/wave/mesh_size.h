// Target length of the mesh's edges at each point.
#pragma once

#include <array>
#include <vector>

#include "base/vector.h"

namespace cabinfield {

/// Short at some edges of the cabin, growing with the distance from them, up to the size in the open air.
/// Called some hundred thousand times: the edges within reach of a point are looked up in a grid.
class MeshSize {
 public:
  struct Edge {
    std::array<Vector3, 2> end{};
    double size_m = 0;  ///< of elements along it
  };
  /// Within the box from `least` to `most`, m; `open_m` far from every edge.
  MeshSize(double open_m, std::vector<Edge> edges, const Vector3& least, const Vector3& most);

  double at(const Vector3& point) const;

 private:
  std::size_t cell_of(const std::array<int, 3>& at) const;
  std::array<int, 3> cell_indices(const Vector3& point) const;

  double open_m_;
  std::vector<Edge> edges_;
  Vector3 least_;
  std::array<int, 3> cells_{};
  std::vector<std::vector<int>> near_;  // edges within reach of each cell
};

}  // namespace cabinfield
