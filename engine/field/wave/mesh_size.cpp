#include "field/wave/mesh_size.h"

#include <algorithm>
#include <cmath>

namespace cabinfield {
namespace {

constexpr double cell_m = 0.1;
/// Growth of the length per distance from the edge: neighbouring elements then differ by about a half.
constexpr double growth = 0.6;

double distance(const Vector3& point, const MeshSize::Edge& edge) {
  const Vector3 along = edge.end[1] - edge.end[0], gap = point - edge.end[0];
  const double t = std::clamp(gap.dot(along) / along.squaredNorm(), 0.0, 1.0);
  return (gap - t * along).norm();
}

}  // namespace

MeshSize::MeshSize(double open_m, std::vector<Edge> edges, const Vector3& least, const Vector3& most)
    : open_m_(open_m), edges_(std::move(edges)), least_(least) {
  for (int axis = 0; axis < 3; ++axis)
    cells_[axis] = std::clamp(static_cast<int>((most[axis] - least[axis]) / cell_m) + 1, 1, 200);
  near_.resize(static_cast<std::size_t>(cells_[0]) * cells_[1] * cells_[2]);
  for (std::size_t e = 0; e < edges_.size(); ++e) {
    const auto& [from_end, to_end] = edges_[e].end;
    const double reach = std::max(0.0, open_m_ - edges_[e].size_m) / growth;
    const Vector3 low = from_end.cwiseMin(to_end).array() - reach,
                  high = from_end.cwiseMax(to_end).array() + reach;
    const auto from = cell_indices(low), to = cell_indices(high);
    for (int x = from[0]; x <= to[0]; ++x)
      for (int y = from[1]; y <= to[1]; ++y)
        for (int z = from[2]; z <= to[2]; ++z) near_[cell_of({x, y, z})].push_back(static_cast<int>(e));
  }
}

std::array<int, 3> MeshSize::cell_indices(const Vector3& point) const {
  std::array<int, 3> indices{};
  for (int axis = 0; axis < 3; ++axis)
    indices[axis] =
        static_cast<int>(std::clamp((point[axis] - least_[axis]) / cell_m, 0.0, cells_[axis] - 1.0));
  return indices;
}

std::size_t MeshSize::cell_of(const std::array<int, 3>& at) const {
  return (static_cast<std::size_t>(at[0]) * cells_[1] + at[1]) * cells_[2] + at[2];
}

double MeshSize::at(const Vector3& point) const {
  double length = open_m_;
  for (int edge : near_[cell_of(cell_indices(point))])
    length = std::min(length, edges_[edge].size_m + growth * distance(point, edges_[edge]));
  return length;
}

}  // namespace cabinfield
