#include "geometry/cabin_shape.h"

#include <algorithm>

namespace cabinfield {

CabinShape box_shape(const Vector3& size_m, const std::array<int, 6>& materials) {
  const auto [front, rear, left, right, floor, roof] = materials;
  const double length = size_m.x(), half = size_m.y() / 2, height = size_m.z();
  CabinShape shape;
  shape.outline = {{{0, 0}, "front", front},
                   {{0, height}, "roof", roof},
                   {{length, height}, "rear", rear},
                   {{length, 0}, "floor", floor}};
  // A side corner names both sides; a patch over each whole side gives it its own name and material.
  shape.sides = {{0, half, "side", left}, {height, half, "", left}};
  shape.box = size_m;
  shape.patches = {{"side_left", {}, "left", left}, {"side_right", {}, "right", right}};
  return shape;
}

double depth_behind(const Block& block, std::size_t corner) {
  const Vector2 a = block.corner[corner].point, b = block.corner[(corner + 1) % block.corner.size()].point;
  const Vector2 normal = Vector2(b.y() - a.y(), a.x() - b.x()).normalized();
  double least = 0, greatest = 0;
  for (const BlockCorner& other : block.corner) {
    const double height = normal.dot(other.point - a);
    least = std::min(least, height);
    greatest = std::max(greatest, height);
  }
  return greatest - least;
}

}  // namespace cabinfield
