#include "support/box_mesh.h"

#include <algorithm>
#include <cmath>
#include <set>
#include <stdexcept>

namespace cabinfield::test {

Mesh box_mesh(const Cabin& cabin, const BoxMeshOptions& options) {
  const Vector3 size = cabin.shape().box.value(), origin(0, -0.5 * size.y(), 0);
  const auto& n = options.cells;
  Mesh mesh;
  auto index = [&](const std::array<int, 3>& at) {
    return (at[0] * (n[1] + 1) + at[1]) * (n[2] + 1) + at[2];
  };
  for (int x = 0; x <= n[0]; ++x)
    for (int y = 0; y <= n[1]; ++y)
      for (int z = 0; z <= n[2]; ++z)
        mesh.node.push_back(origin + Vector3(size.x() * x / n[0], size.y() * y / n[1], size.z() * z / n[2]));
  const int orders[6][3] = {{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}};
  for (int x = 0; x < n[0]; ++x)
    for (int y = 0; y < n[1]; ++y)
      for (int z = 0; z < n[2]; ++z)
        for (const auto& order : orders) {
          std::array<int, 3> at{x, y, z};
          std::array<int, 4> corner{index(at)};
          for (int i = 0; i < 3; ++i) {
            ++at[order[i]];
            corner[i + 1] = index(at);
          }
          auto node = [&](int i) { return mesh.node[corner[i]]; };
          if ((node(1) - node(0)).cross(node(2) - node(0)).dot(node(3) - node(0)) < 0)
            std::swap(corner[2], corner[3]);
          mesh.tetrahedron.push_back(corner);
          const Vector3 centre = 0.25 * (node(0) + node(1) + node(2) + node(3));
          mesh.region.push_back(options.region ? options.region(centre) : Mesh::air);
        }
  std::set<std::array<int, 3>> seen;
  for (const auto& corner : mesh.tetrahedron) {
    for (int opposite = 0; opposite < 4; ++opposite) {
      std::array<int, 3> triangle{};
      for (int i = 0, next = 0; i < 4; ++i)
        if (i != opposite) triangle[next++] = corner[i];
      const Vector3 &a = mesh.node[triangle[0]], &b = mesh.node[triangle[1]], &c = mesh.node[triangle[2]];
      const Vector3 centre = (a + b + c) / 3, normal = (b - a).cross(c - a).normalized();
      for (std::size_t f = 0; f < cabin.faces().size(); ++f) {
        const Face& face = cabin.faces()[f];
        if (face.block >= 0 || std::abs(face.height_over(centre)) > 1e-9) continue;
        if (normal.dot(face.normal) < 0) std::swap(triangle[1], triangle[2]);
        mesh.boundary.push_back({triangle, static_cast<int>(f)});
        break;
      }
      if (!options.sheet) continue;
      std::array<int, 3> key = triangle;
      std::sort(key.begin(), key.end());
      const int partition = options.sheet(centre, normal.cwiseAbs());
      if (partition >= 0 && seen.insert(key).second) mesh.sheet.push_back({key, partition});
    }
  }
  return mesh;
}

}  // namespace cabinfield::test
