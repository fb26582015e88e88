#include "geometry/polygon.h"

#include <CGAL/Boolean_set_operations_2.h>
#include <CGAL/Constrained_Delaunay_triangulation_2.h>
#include <CGAL/Exact_predicates_exact_constructions_kernel.h>
#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Polygon_2.h>
#include <CGAL/Polygon_with_holes_2.h>
#include <CGAL/Triangulation_vertex_base_with_info_2.h>

#include <algorithm>
#include <cmath>
#include <deque>
#include <map>

namespace cabinfield {
namespace {

using ExactKernel = CGAL::Exact_predicates_exact_constructions_kernel;
using ExactPolygon = CGAL::Polygon_2<ExactKernel>;
using Kernel = CGAL::Exact_predicates_inexact_constructions_kernel;
using Segment = Kernel::Segment_2;

double cross(const Vector2& a, const Vector2& b) { return a.x() * b.y() - a.y() * b.x(); }

Kernel::Point_2 exact_point(const Vector2& p) { return {p.x(), p.y()}; }

ExactPolygon to_exact(const Polygon2& polygon) {
  ExactPolygon exact;
  for (const Vector2& corner : polygon) exact.push_back({corner.x(), corner.y()});
  if (exact.is_clockwise_oriented()) exact.reverse_orientation();
  return exact;
}

Polygon2 from_exact(const ExactPolygon& exact) {
  Polygon2 polygon;
  for (const auto& corner : exact.container()) {
    const Vector2 point(CGAL::to_double(corner.x()), CGAL::to_double(corner.y()));
    if (polygon.empty() || (point - polygon.back()).norm() > 1e-12) polygon.push_back(point);
  }
  if (polygon.size() > 1 && (polygon.front() - polygon.back()).norm() <= 1e-12) polygon.pop_back();
  return polygon;
}

std::vector<Polygon2> intersect(const ExactPolygon& a, const ExactPolygon& b) {
  std::vector<CGAL::Polygon_with_holes_2<ExactKernel>> found;
  CGAL::intersection(a, b, std::back_inserter(found));
  std::vector<Polygon2> parts;
  // Cutting a polygon without holes by a half plane makes no holes.
  for (const auto& part : found) {
    Polygon2 polygon = from_exact(part.outer_boundary());
    if (polygon.size() >= 3 && std::abs(signed_area(polygon)) > 1e-10) parts.push_back(std::move(polygon));
  }
  return parts;
}

double distance_to_segment(const Vector2& p, const Vector2& a, const Vector2& b) {
  const Vector2 along = b - a;
  const double squared = along.squaredNorm();
  const double t = squared > 0 ? std::clamp((p - a).dot(along) / squared, 0.0, 1.0) : 0.0;
  return (p - (a + t * along)).norm();
}

}  // namespace

double signed_area(const Polygon2& polygon) {
  double twice = 0;
  for (std::size_t i = 0; i < polygon.size(); ++i)
    twice += cross(polygon[i], polygon[(i + 1) % polygon.size()]);
  return 0.5 * twice;
}

std::optional<std::array<int, 2>> crossing_edges(const Polygon2& polygon) {
  const int n = static_cast<int>(polygon.size());
  auto corner = [&](int i) { return exact_point(polygon[static_cast<std::size_t>(i % n)]); };
  for (int i = 0; i < n; ++i) {
    if (corner(i) == corner(i + 1)) return std::array{i, (i + 1) % n};
    for (int j = i + 1; j < n; ++j) {
      const Segment first(corner(i), corner(i + 1)), second(corner(j), corner(j + 1));
      const bool follows = j == i + 1, precedes = i == 0 && j == n - 1;
      if (!follows && !precedes) {
        if (CGAL::do_intersect(first, second)) return std::array{i, j};
        continue;
      }
      // Neighbouring edges share a corner, but must not fold back on each other.
      if (n > 2 && ((follows && second.has_on(corner(i))) || (precedes && first.has_on(corner(j))) ||
                    (follows && first.has_on(corner(j + 1))) || (precedes && second.has_on(corner(i + 1)))))
        return std::array{i, j};
    }
  }
  return std::nullopt;
}

double distance_to_edges(const Polygon2& polygon, const Vector2& point) {
  double nearest = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < polygon.size(); ++i)
    nearest = std::min(nearest, distance_to_segment(point, polygon[i], polygon[(i + 1) % polygon.size()]));
  return nearest;
}

bool contains(const Polygon2& polygon, const Vector2& point, double margin) {
  bool inside = false;
  for (std::size_t i = 0, j = polygon.size() - 1; i < polygon.size(); j = i++) {
    const Vector2 &a = polygon[i], &b = polygon[j];
    if ((a.y() > point.y()) != (b.y() > point.y()) &&
        point.x() < (b.x() - a.x()) * (point.y() - a.y()) / (b.y() - a.y()) + a.x())
      inside = !inside;
  }
  if (margin == 0) return inside;
  if (margin > 0) return inside && distance_to_edges(polygon, point) > margin;
  return inside || distance_to_edges(polygon, point) <= -margin;
}

SplitPolygon split(const Polygon2& polygon, const Vector2& normal, double offset) {
  double least = std::numeric_limits<double>::infinity(), greatest = -least;
  for (const Vector2& corner : polygon) {
    least = std::min(least, normal.dot(corner));
    greatest = std::max(greatest, normal.dot(corner));
  }
  const double small = 1e-9 * normal.norm();
  if (greatest <= offset + small) return {{polygon}, {}};
  if (least >= offset - small) return {{}, {polygon}};

  // The half plane as a rectangle that reaches far beyond the polygon.
  const Vector2 unit = normal.normalized(), along(-unit.y(), unit.x());
  const double reach = 4 * (1 + polygon.front().norm() + (greatest - least) / normal.norm() +
                            std::abs(offset) / normal.norm());
  double extent = reach;
  for (const Vector2& corner : polygon) extent = std::max(extent, 4 * corner.norm());
  const Vector2 base = unit * (offset / normal.norm());
  const Polygon2 within{base - extent * along, base + extent * along, base + extent * along - extent * unit,
                        base - extent * along - extent * unit};
  const Polygon2 beyond{base - extent * along, base + extent * along, base + extent * along + extent * unit,
                        base - extent * along + extent * unit};
  const ExactPolygon exact = to_exact(polygon);
  return {intersect(exact, to_exact(within)), intersect(exact, to_exact(beyond))};
}

std::vector<std::array<int, 3>> triangulate(const Polygon2& polygon) {
  using Vertex = CGAL::Triangulation_vertex_base_with_info_2<int, Kernel>;
  using Structure =
      CGAL::Triangulation_data_structure_2<Vertex, CGAL::Constrained_triangulation_face_base_2<Kernel>>;
  using Triangulation = CGAL::Constrained_Delaunay_triangulation_2<Kernel, Structure>;
  Triangulation triangulation;
  std::vector<Triangulation::Vertex_handle> corners;
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    corners.push_back(triangulation.insert(exact_point(polygon[i])));
    corners.back()->info() = static_cast<int>(i);
  }
  for (std::size_t i = 0; i < corners.size(); ++i)
    triangulation.insert_constraint(corners[i], corners[(i + 1) % corners.size()]);

  // A face is inside if an odd number of constrained edges separates it from the infinite face.
  std::map<Triangulation::Face_handle, bool> inside;
  std::deque<Triangulation::Face_handle> queue{triangulation.infinite_face()};
  inside[triangulation.infinite_face()] = false;
  while (!queue.empty()) {
    const auto face = queue.front();
    queue.pop_front();
    for (int edge = 0; edge < 3; ++edge) {
      const auto neighbour = face->neighbor(edge);
      if (inside.contains(neighbour)) continue;
      inside[neighbour] = inside[face] != face->is_constrained(edge);
      queue.push_back(neighbour);
    }
  }
  std::vector<std::array<int, 3>> triangles;
  for (const auto face : triangulation.finite_face_handles())
    if (inside[face])
      triangles.push_back({face->vertex(0)->info(), face->vertex(1)->info(), face->vertex(2)->info()});
  std::sort(triangles.begin(), triangles.end());
  return triangles;
}

}  // namespace cabinfield
