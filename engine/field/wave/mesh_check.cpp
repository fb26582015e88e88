#include "field/wave/mesh_check.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "field/wave/tetrahedron.h"

namespace cabinfield {
namespace {

constexpr double least_quality = 1e-4;
constexpr double volume_tolerance = 1e-6;
/// Cabin::air_volume_m3 samples the cabin in columns of 12 mm and may be wrong by half a column at every
/// face.
constexpr double sampling_tolerance = 0.015;

using Triangle = std::array<int, 3>;

Triangle sorted(Triangle triangle) {
  std::sort(triangle.begin(), triangle.end());
  return triangle;
}

double volume_of(const std::vector<Vector3>& node, const std::array<int, 4>& corner) {
  return tetrahedron_volume_m3(node[corner[0]], node[corner[1]], node[corner[2]], node[corner[3]]);
}

struct FaceUse {
  Triangle triangle{};  // sorted
  int tetrahedron = 0, opposite = 0;
};

/// Faces of all tetrahedra, sorted so that those with the same nodes are adjacent.
std::vector<FaceUse> faces_of(const std::vector<std::array<int, 4>>& tetrahedra) {
  std::vector<FaceUse> uses;
  uses.reserve(4 * tetrahedra.size());
  for (std::size_t t = 0; t < tetrahedra.size(); ++t)
    for (int opposite = 0; opposite < 4; ++opposite) {
      FaceUse use{{}, static_cast<int>(t), opposite};
      for (int i = 0, next = 0; i < 4; ++i)
        if (i != opposite) use.triangle[next++] = tetrahedra[t][i];
      use.triangle = sorted(use.triangle);
      uses.push_back(use);
    }
  std::sort(uses.begin(), uses.end(), [](const FaceUse& one, const FaceUse& other) {
    return std::tie(one.triangle, one.tetrahedron) < std::tie(other.triangle, other.tetrahedron);
  });
  return uses;
}

double distance_to(const Cabin& cabin, int index, const Vector3& point) {
  const Face& face = cabin.faces()[index];
  const double height = face.height_over(point);
  const Vector3 foot = point - height * face.normal;
  if (cabin.face_contains(index, foot)) return std::abs(height);
  double least = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < face.corner.size(); ++i) {
    const Vector3 &a = face.corner[i], along = face.corner[(i + 1) % face.corner.size()] - a;
    const double t = std::clamp((point - a).dot(along) / along.squaredNorm(), 0.0, 1.0);
    least = std::min(least, (point - a - t * along).norm());
  }
  return least;
}

}  // namespace

double tetrahedron_quality(const Vector3& a, const Vector3& b, const Vector3& c, const Vector3& d) {
  const Vector3 ab = b - a, ac = c - a, ad = d - a;
  const double six_volumes = ab.cross(ac).dot(ad);
  const double areas =
      0.5 * (ab.cross(ac).norm() + ac.cross(ad).norm() + ad.cross(ab).norm() + (c - b).cross(d - b).norm());
  const Vector3 to_centre =
      ad.squaredNorm() * ab.cross(ac) + ac.squaredNorm() * ad.cross(ab) + ab.squaredNorm() * ac.cross(ad);
  if (six_volumes == 0 || areas == 0) return 0;
  const double inscribed = 0.5 * six_volumes / areas;
  const double circumscribed = to_centre.norm() / (2 * std::abs(six_volumes));
  return 3 * inscribed / circumscribed;
}

FaceNames::FaceNames(const Cabin& cabin, const Cabin& hollow) : cabin_(cabin) {
  for (const Face& face : hollow.faces()) {
    const int surface = cabin.surface_index(hollow.surfaces()[face.surface]);
    // Blocks move by millimetres, which may rotate a small face considerably, but not turn it over.
    std::vector<int> found;
    for (std::size_t f = 0; f < cabin.faces().size(); ++f)
      if (cabin.faces()[f].surface == surface && cabin.faces()[f].normal.dot(face.normal) > 0.5)
        found.push_back(static_cast<int>(f));
    candidates_.push_back(std::move(found));
  }
}

int FaceNames::at(int hollow_face, const Vector3& point) const {
  const auto& candidates = candidates_[hollow_face];
  if (candidates.size() == 1) return candidates.front();
  int best = -1;
  double least = std::numeric_limits<double>::infinity();
  for (int candidate : candidates) {
    const double distance = distance_to(cabin_, candidate, point);
    if (distance < least) least = distance, best = candidate;
  }
  return best;
}

std::optional<Mesh> checked_mesh(const RawMesh& raw, const MeshDrawing& drawing, const Cabin& cabin,
                                 std::string& reason) {
  auto refuse = [&](const char* why) {
    reason = why;
    return std::nullopt;
  };
  // Step 1: tetrahedra. Orient them, and check their quality and region.
  Mesh mesh;
  mesh.node = raw.node;
  mesh.tetrahedron = raw.tetrahedron;
  std::vector<double> volume(raw.body_region.size(), 0);
  for (std::size_t t = 0; t < mesh.tetrahedron.size(); ++t) {
    auto& corner = mesh.tetrahedron[t];
    if (volume_of(mesh.node, corner) < 0) std::swap(corner[2], corner[3]);
    const Vector3 &a = mesh.node[corner[0]], &b = mesh.node[corner[1]], &c = mesh.node[corner[2]],
                  &d = mesh.node[corner[3]];
    if (tetrahedron_quality(a, b, c, d) < least_quality) return refuse("some tetrahedra are flat");
    volume[raw.body[t]] += volume_of(mesh.node, corner);
    mesh.region.push_back(raw.body_region[raw.body[t]]);
    if (drawing.region_at(0.25 * (a + b + c + d)) != mesh.region.back())
      return refuse("some tetrahedra lie outside the air");
  }
  // Step 2: volumes of the bodies and of the whole.
  double whole = 0;
  for (double part : raw.body_volume_m3) whole += part;
  for (std::size_t body = 0; body < volume.size(); ++body)
    if (volume[body] <= 0 || std::abs(volume[body] - raw.body_volume_m3[body]) > volume_tolerance * whole)
      return refuse("a part of the air is not filled");
  const double drawn = drawing.hollow().air_volume_m3();
  if (std::abs(whole - drawn) > sampling_tolerance * drawn)
    return refuse("the volume differs from the drawing");

  // Step 3: faces. One shared by two tetrahedra is interior, perhaps on a sheet; one of a single tetrahedron
  // is on the boundary and must lie on a face of the cabin.
  std::map<Triangle, int> sheets;
  for (std::size_t s = 0; s < raw.sheet.size(); ++s)
    sheets.emplace(sorted(raw.sheet[s]), raw.sheet_partition[s]);
  const FaceNames names(cabin, drawing.hollow());
  const auto uses = faces_of(mesh.tetrahedron);
  for (std::size_t u = 0; u < uses.size();) {
    std::size_t end = u + 1;
    while (end < uses.size() && uses[end].triangle == uses[u].triangle) ++end;
    const auto& [triangle, tetrahedron, opposite] = uses[u];
    const std::size_t count = end - u;
    u = end;
    if (count > 2) return refuse("tetrahedra overlap");
    if (count == 2) {
      const auto found = sheets.find(triangle);
      if (found != sheets.end()) mesh.sheet.push_back({triangle, found->second});
      if (found != sheets.end()) sheets.erase(found);
      continue;
    }
    sheets.erase(triangle);  // a sheet triangle on a wall has air on one side only
    Triangle turned = triangle;
    const Vector3& inside = mesh.node[mesh.tetrahedron[tetrahedron][opposite]];
    const Vector3 &a = mesh.node[turned[0]], &b = mesh.node[turned[1]], &c = mesh.node[turned[2]];
    Vector3 normal = (b - a).cross(c - a).normalized();
    if (normal.dot(inside - a) < 0) {
      std::swap(turned[1], turned[2]);
      normal = -normal;
    }
    const Vector3 middle = (a + b + c) / 3;
    const int hollow_face = drawing.hollow_face(middle, normal);
    const int face = hollow_face < 0 ? -1 : names.at(hollow_face, middle);
    if (face < 0) return refuse("a part of the boundary lies on no face");
    mesh.boundary.push_back({turned, face});
  }
  // Step 4: the remaining sheet triangles must lie outside the air or on its boundary.
  auto deep_in_air = [&](const Vector3& point) {
    constexpr double around_m = 1e-4;
    for (int axis = 0; axis < 3; ++axis)
      for (double step : {-around_m, around_m})
        if (!drawing.hollow().in_air(point + step * Vector3::Unit(axis))) return false;
    return true;
  };
  for (const auto& [triangle, partition] : sheets)
    if (deep_in_air((mesh.node[triangle[0]] + mesh.node[triangle[1]] + mesh.node[triangle[2]]) / 3))
      return refuse("a sheet is not between two tetrahedra");
  return mesh;
}

}  // namespace cabinfield
