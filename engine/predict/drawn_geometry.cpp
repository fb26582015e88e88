#include "predict/drawn_geometry.h"

#include "geometry/polygon.h"

namespace cabinfield {

DrawnGeometry drawn_geometry(const Cabin& cabin) {
  DrawnGeometry drawn;
  drawn.surface = cabin.surfaces();
  for (const Face& face : cabin.faces()) {
    // Flattened along the axis that it faces most, which keeps its outline simple.
    int axis = 0;
    face.normal.cwiseAbs().maxCoeff(&axis);
    const int u = (axis + 1) % 3, v = (axis + 2) % 3;
    Polygon2 flat;
    for (const Vector3& corner : face.corner) flat.push_back({corner[u], corner[v]});
    const int first = static_cast<int>(drawn.vertex_m.size());
    drawn.vertex_m.insert(drawn.vertex_m.end(), face.corner.begin(), face.corner.end());
    for (auto [a, b, c] : triangulate(flat)) {
      if (face.normal[axis] < 0) std::swap(b, c);  // counter-clockwise as seen from the air
      drawn.triangle.push_back({first + a, first + b, first + c});
      drawn.triangle_surface.push_back(face.surface);
    }
  }
  return drawn;
}

}  // namespace cabinfield
