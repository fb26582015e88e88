#include "geometry/cabin.h"

#include <algorithm>
#include <cmath>

#include "base/constants.h"

namespace cabinfield {
namespace {

constexpr double look_m = 1e-5;  // distance before and behind a face at which air is tested

Vector3 nearest_on_segment(const Vector3& p, const Vector3& a, const Vector3& b) {
  const Vector3 along = b - a;
  const double squared = along.squaredNorm();
  return squared > 0 ? Vector3(a + std::clamp((p - a).dot(along) / squared, 0.0, 1.0) * along) : a;
}

}  // namespace

bool Cabin::Solid::holds(const Vector3& point, double margin) const {
  if (point[axis_swept] <= range[0] + margin || point[axis_swept] >= range[1] - margin) return false;
  for (int axis = 0; axis < 3; ++axis)
    if (point[axis] < bounds[2 * axis] + margin || point[axis] > bounds[2 * axis + 1] - margin) return false;
  return contains(polygon, {point[axis_a], point[axis_b]}, margin);
}

void Cabin::Solid::crossings(const Vector3& from, const Vector3& along, std::vector<double>& at) const {
  auto add = [&](double t) {
    if (t > 0 && t < 1) at.push_back(t);
  };
  if (along[axis_swept] != 0)
    for (double end : range) add((end - from[axis_swept]) / along[axis_swept]);
  const Vector2 start(from[axis_a], from[axis_b]), step(along[axis_a], along[axis_b]);
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    const Vector2 edge = polygon[(i + 1) % polygon.size()] - polygon[i], gap = polygon[i] - start;
    const double turn = step.x() * edge.y() - step.y() * edge.x();
    if (turn != 0) add((gap.x() * edge.y() - gap.y() * edge.x()) / turn);
  }
}

double Cabin::half_width(double z) const {
  if (z <= side_levels_.front()[0]) return side_levels_.front()[1];
  for (std::size_t i = 0; i + 1 < side_levels_.size(); ++i) {
    const auto [z0, w0] = side_levels_[i];
    const auto [z1, w1] = side_levels_[i + 1];
    if (z <= z1) return w0 + (w1 - w0) * (z - z0) / (z1 - z0);
  }
  return side_levels_.back()[1];
}

int Cabin::surface_index(const std::string& name) const {
  const auto found = std::find(surfaces_.begin(), surfaces_.end(), name);
  return found == surfaces_.end() ? -1 : static_cast<int>(found - surfaces_.begin());
}

bool Cabin::in_shell(const Vector3& point) const {
  return std::abs(point.y()) <= half_width(point.z()) + same_point_m &&
         contains(outline_, {point.x(), point.z()}, -same_point_m);
}

bool Cabin::in_cut(const Vector3& point) const {
  return std::any_of(solids_.begin(), solids_.end(),
                     [&](const Solid& body) { return body.cut && body.holds(point, -same_point_m); });
}

bool Cabin::in_air(const Vector3& point) const {
  if (!in_shell(point)) return false;
  if (in_cut(point)) return true;
  bool touches = false;
  for (const Solid& body : solids_) {
    if (body.cut) continue;
    if (body.holds(point, same_point_m)) return false;
    touches = touches || body.holds(point, -same_point_m);
  }
  if (!touches) return true;
  // On the boundary of a solid: air if any point beside it is air; in the joint of two touching solids none
  // is.
  constexpr double beside_m = 4 * same_point_m;
  for (int x : {-1, 0, 1})
    for (int y : {-1, 0, 1})
      for (int z : {-1, 0, 1}) {
        const Vector3 near = point + beside_m * Vector3(x, y, z);
        if (!in_shell(near)) continue;
        if (in_cut(near) || std::none_of(solids_.begin(), solids_.end(), [&](const Solid& body) {
              return !body.cut && body.holds(near, -same_point_m);
            }))
          return true;
      }
  return false;
}

bool Cabin::segment_free(const Vector3& from, const Vector3& to) const {
  const Vector3 along = to - from;
  const double length = along.norm();
  if (length < same_point_m) return true;
  auto meets = [&](const Solid& body) {
    for (int axis = 0; axis < 3; ++axis)
      if (std::max(from[axis], to[axis]) < body.bounds[2 * axis] ||
          std::min(from[axis], to[axis]) > body.bounds[2 * axis + 1])
        return false;
    return true;
  };
  // Crossings with boundaries; between two of them the line is in one medium.
  std::vector<double> at{0, 1};
  auto add = [&](double t) {
    if (t > 0 && t < 1) at.push_back(t);
  };
  for (std::size_t i = 0; i < outline_.size(); ++i) {
    const Vector2 edge = outline_[(i + 1) % outline_.size()] - outline_[i];
    const Vector2 gap(outline_[i].x() - from.x(), outline_[i].y() - from.z());
    const double turn = along.x() * edge.y() - along.z() * edge.x();
    if (turn != 0) add((gap.x() * edge.y() - gap.y() * edge.x()) / turn);
  }
  for (std::size_t i = 0; i + 1 < side_levels_.size(); ++i) {
    const auto [z0, w0] = side_levels_[i];
    const auto [z1, w1] = side_levels_[i + 1];
    const double slope = (w1 - w0) / (z1 - z0);
    for (double side : {-1.0, 1.0}) {
      const double turn = side * along.y() - slope * along.z();
      if (turn != 0) add((w0 + slope * (from.z() - z0) - side * from.y()) / turn);
    }
    if (along.z() != 0) add((z0 - from.z()) / along.z());
  }
  for (const Solid& body : solids_)
    if (meets(body)) body.crossings(from, along, at);
  std::sort(at.begin(), at.end());
  for (std::size_t i = 0; i + 1 < at.size(); ++i)
    if ((at[i + 1] - at[i]) * length > same_point_m && !in_air(from + 0.5 * (at[i] + at[i + 1]) * along))
      return false;
  return true;
}

bool Cabin::face_contains(int face, const Vector3& point) const {
  const auto [u, v] = face_axes_[face];
  return contains(face_outline_[face], {point[u], point[v]}, -1e-9);
}

bool Cabin::exposed(int face, const Vector3& point) const {
  const Vector3 step = look_m * faces_[face].normal;
  if (!in_air(point + step) || in_air(point - step)) return false;
  return std::none_of(earlier_coplanar_[face].begin(), earlier_coplanar_[face].end(),
                      [&](int earlier) { return face_contains(earlier, point); });
}

PointReport Cabin::report(const Vector3& point) const {
  PointReport found;
  found.outside = !in_shell(point);
  found.in_air = in_air(point);
  if (!found.in_air && !found.outside)
    for (std::size_t i = 0; i < solids_.size(); ++i)
      if (!solids_[i].cut && solids_[i].holds(point, same_point_m)) found.block = static_cast<int>(i);
  found.distance_m = std::numeric_limits<double>::infinity();
  for (const std::string& surface : surfaces_) {
    const Landing landing = land(point, surface);
    // The way out of a block is through its own faces; the way back into the cabin through the shell.
    const int block = faces_[landing.face].block;
    if ((found.block >= 0 && block != found.block) || (found.outside && block >= 0)) continue;
    if (landing.distance_m < found.distance_m) {
      found.distance_m = landing.distance_m;
      found.nearest = surface;
    }
  }
  return found;
}

Landing Cabin::land(const Vector3& point, const std::string& surface) const {
  Landing best;
  best.distance_m = std::numeric_limits<double>::infinity();
  const int index = surface_index(surface);
  for (std::size_t f = 0; f < faces_.size(); ++f) {
    const Face& face = faces_[f];
    if (face.surface != index) continue;
    Vector3 nearest = point - face.height_over(point) * face.normal;
    if (!face_contains(static_cast<int>(f), nearest)) {
      const Vector3 foot = nearest;
      double least = std::numeric_limits<double>::infinity();
      for (std::size_t i = 0; i < face.corner.size(); ++i) {
        const Vector3 candidate =
            nearest_on_segment(foot, face.corner[i], face.corner[(i + 1) % face.corner.size()]);
        if ((candidate - foot).norm() < least) {
          least = (candidate - foot).norm();
          nearest = candidate;
        }
      }
    }
    const double distance = (nearest - point).norm();
    if (distance < best.distance_m) best = {static_cast<int>(f), nearest, distance};
  }
  return best;
}

double Cabin::measure_air_volume() const {
  if (shape_.box && solids_.empty()) return shape_.box->prod();
  Vector2 least = outline_.front(), greatest = least;
  for (const Vector2& corner : outline_) {
    least = least.cwiseMin(corner);
    greatest = greatest.cwiseMax(corner);
  }
  // Lines across the car on a grid of about 12 mm (coarser in a hall); along each, the air is summed exactly.
  constexpr double step_m = 0.012;
  constexpr int most = 500;
  const int columns = std::clamp(static_cast<int>((greatest.x() - least.x()) / step_m), 1, most);
  const int rows = std::clamp(static_cast<int>((greatest.y() - least.y()) / step_m), 1, most);
  const double dx = (greatest.x() - least.x()) / columns, dz = (greatest.y() - least.y()) / rows;
  double volume = 0;
  for (int i = 0; i < columns; ++i)
    for (int k = 0; k < rows; ++k) {
      const Vector2 p(least.x() + (i + 0.5) * dx, least.y() + (k + 0.5) * dz);
      if (!contains(outline_, p)) continue;
      const double wide = half_width(p.y());
      const Vector3 from(p.x(), -wide, p.y()), along(0, 2 * wide, 0);
      std::vector<double> at{0, 1};
      for (const Solid& body : solids_) body.crossings(from, along, at);
      std::sort(at.begin(), at.end());
      for (std::size_t a = 0; a + 1 < at.size(); ++a)
        if (at[a + 1] > at[a] && in_air(from + 0.5 * (at[a] + at[a + 1]) * along))
          volume += (at[a + 1] - at[a]) * 2 * wide * dx * dz;
    }
  return volume;
}

double Cabin::exposed_area_of_face(std::size_t f) const {
  const Face& face = faces_[f];
  const auto [u, v] = face_axes_[f];
  const int w = 3 - u - v;
  if (solids_.empty()) return std::abs(signed_area(face_outline_[f]) / face.normal[w]);
  double u0 = 1e9, u1 = -1e9, v0 = 1e9, v1 = -1e9;
  for (const Vector2& corner : face_outline_[f]) {
    u0 = std::min(u0, corner.x()), u1 = std::max(u1, corner.x());
    v0 = std::min(v0, corner.y()), v1 = std::max(v1, corner.y());
  }
  const int nu = std::clamp(static_cast<int>((u1 - u0) / 0.04), 4, 200),
            nv = std::clamp(static_cast<int>((v1 - v0) / 0.04), 4, 200);
  const double cell = (u1 - u0) * (v1 - v0) / (nu * nv) / std::abs(face.normal[w]);
  double area = 0;
  for (int i = 0; i < nu; ++i)
    for (int j = 0; j < nv; ++j) {
      Vector3 point;
      point[u] = u0 + (i + 0.5) * (u1 - u0) / nu;
      point[v] = v0 + (j + 0.5) * (v1 - v0) / nv;
      point[w] = (face.offset - face.normal[u] * point[u] - face.normal[v] * point[v]) / face.normal[w];
      if (face_contains(static_cast<int>(f), point) && exposed(static_cast<int>(f), point)) area += cell;
    }
  return area;
}

std::vector<double> Cabin::exposed_area_m2(int materials) const {
  std::vector<double> area(static_cast<std::size_t>(materials), 0.0);
  for (std::size_t f = 0; f < faces_.size(); ++f)
    area[static_cast<std::size_t>(faces_[f].material)] += exposed_area_m2_[f];
  return area;
}

double Cabin::surface_area_m2(int surface) const {
  double area = 0;
  for (std::size_t f = 0; f < faces_.size(); ++f)
    if (faces_[f].surface == surface) area += exposed_area_m2_[f];
  return area;
}

}  // namespace cabinfield
