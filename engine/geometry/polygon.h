// Plane polygons: the few operations the cabin's outline, faces and patches need, done with exact predicates
// (CGAL).
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "base/vector.h"

namespace cabinfield {

/// A polygon without holes, corners in order, last joined to first; in either orientation unless stated.
using Polygon2 = std::vector<Vector2>;

/// Area with sign, positive counter-clockwise, m2.
double signed_area(const Polygon2& polygon);

/// Two edges (by first corner) that cross or touch, or empty if the outline is simple.
std::optional<std::array<int, 2>> crossing_edges(const Polygon2& polygon);

/// True inside by more than `margin` (m) from every edge; with a negative margin, true up to that far
/// outside.
bool contains(const Polygon2& polygon, const Vector2& point, double margin = 0);

/// Distance to the nearest edge, m.
double distance_to_edges(const Polygon2& polygon, const Vector2& point);

/// The parts with normal . p <= offset, and the parts beyond.
struct SplitPolygon {
  std::vector<Polygon2> within;
  std::vector<Polygon2> beyond;
};
SplitPolygon split(const Polygon2& polygon, const Vector2& normal, double offset);

/// Corner indices of triangles that cover the polygon, each counter-clockwise.
std::vector<std::array<int, 3>> triangulate(const Polygon2& polygon);

}  // namespace cabinfield
