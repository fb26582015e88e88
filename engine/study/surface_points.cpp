#include "study/surface_points.h"

#include <cmath>
#include <limits>

#include "base/constants.h"

namespace cabinfield {
namespace {

constexpr double rounding_m = 1e-4;
/// Distance before and behind a surface at which air is tested, as in the build of drivers.
constexpr double look_m = 1e-5;
constexpr int directions = 24;

Vector3 rounded(const Vector3& point) {
  Vector3 result;
  for (int i = 0; i < 3; ++i) result[i] = std::round(point[i] / rounding_m) * rounding_m;
  return result;
}

/// Two directions in a face: across the car (along it for a side face), and at right angles to that.
struct InFace {
  Vector3 first, second;
  explicit InFace(const Vector3& normal) {
    const Vector3 across = std::abs(normal.y()) < 0.9 ? Vector3::UnitY() : Vector3::UnitX();
    first = (across - normal.dot(across) * normal).normalized();
    second = normal.cross(first);
    // Rearward or up, whichever way the face is turned.
    if (second.x() + second.z() < 0) second = -second;
  }
};

bool has_wall_all_round(const Cabin& cabin, const Vector3& point, const Vector3& normal, double margin_m) {
  const InFace in_face(normal);
  for (int i = 0; margin_m > 0 && i < directions; ++i) {
    const double angle = 2 * pi * i / directions;
    const Vector3 way = std::cos(angle) * in_face.first + std::sin(angle) * in_face.second;
    const Vector3 rim = point + margin_m * way;
    if (!cabin.in_air(rim + look_m * normal) || cabin.in_air(rim - look_m * normal)) return false;
  }
  return true;
}

}  // namespace

std::vector<Vector3> surface_points(const Cabin& cabin, const std::string& surface, double spacing_m,
                                    double margin_m) {
  std::vector<Vector3> points;
  const int index = cabin.surface_index(surface);
  for (std::size_t f = 0; index >= 0 && f < cabin.faces().size(); ++f) {
    const Face& face = cabin.faces()[f];
    if (face.surface != index) continue;
    const InFace in_face(face.normal);
    const double far = std::numeric_limits<double>::infinity();
    Vector2 least(far, far), greatest(-far, -far);
    for (const Vector3& corner : face.corner) {
      const Vector2 at(in_face.first.dot(corner), in_face.second.dot(corner));
      least = least.cwiseMin(at);
      greatest = greatest.cwiseMax(at);
    }
    const auto from = [&](int axis) { return std::ceil(least[axis] / spacing_m - 1e-9); };
    const auto to = [&](int axis) { return std::floor(greatest[axis] / spacing_m + 1e-9); };
    const double candidates = std::max(0.0, to(0) - from(0) + 1) * std::max(0.0, to(1) - from(1) + 1);
    if (candidates > static_cast<double>(most_surface_points - points.size())) return {};
    for (double row = from(1); row <= to(1); ++row)
      for (double column = from(0); column <= to(0); ++column) {
        const Vector3 exact =
            column * spacing_m * in_face.first + row * spacing_m * in_face.second + face.offset * face.normal;
        if (!cabin.face_contains(static_cast<int>(f), exact)) continue;
        const Vector3 point = rounded(exact);
        // The same test as the build of a driver there.
        const Landing landing = cabin.land(point, surface);
        if (landing.face != static_cast<int>(f) || !cabin.exposed(landing.face, landing.point)) continue;
        if (has_wall_all_round(cabin, landing.point, face.normal, margin_m)) points.push_back(point);
      }
  }
  return points;
}

}  // namespace cabinfield
