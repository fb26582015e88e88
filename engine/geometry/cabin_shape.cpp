#include "geometry/cabin_shape.h"

namespace cabinfield {

CabinShape box_shape(const Vector3& size_m, const std::array<int, 6>& materials) {
  const auto [front, rear, left, right, floor, roof] = materials;
  const double length = size_m.x(), half = size_m.y() / 2, height = size_m.z();
  CabinShape shape;
  shape.outline = {{{0, 0}, "front", front},
                   {{0, height}, "roof", roof},
                   {{length, height}, "rear", rear},
                   {{length, 0}, "floor", floor}};
  // A span names both sides at once; a patch over the whole of each gives it its own name and material.
  shape.sides = {{0, half, "side", left}, {height, half, "", left}};
  shape.box = size_m;
  shape.patches = {{"side_left", {}, "left", left}, {"side_right", {}, "right", right}};
  return shape;
}

}  // namespace cabinfield
