#include "field/images/mirror_search.h"

#include <algorithm>
#include <cmath>

#include "base/constants.h"

namespace cabinfield {
namespace {

/// Slack of the pyramid's sides, m: paths that graze an edge are left to the exact test.
constexpr double slack_m = 1e-8;

/// The convex outline of a flat polygon seen along its normal (monotone chain).
std::vector<Vector3> convex_outline(const std::vector<Vector3>& corners, const Vector3& normal) {
  const Vector3 u = (corners[1] - corners[0]).normalized(), v = normal.cross(u);
  std::vector<Vector3> sorted = corners;
  std::sort(sorted.begin(), sorted.end(), [&](const Vector3& a, const Vector3& b) {
    return std::pair(u.dot(a), v.dot(a)) < std::pair(u.dot(b), v.dot(b));
  });
  std::vector<Vector3> hull;
  auto add_chain = [&](auto begin, auto end) {
    const std::size_t start = hull.size();
    for (auto it = begin; it != end; ++it) {
      while (hull.size() >= start + 2) {
        const Vector3 turn = (hull.back() - hull[hull.size() - 2]).cross(*it - hull.back());
        if (turn.dot(normal) > 1e-14) break;
        hull.pop_back();
      }
      hull.push_back(*it);
    }
    hull.pop_back();
  };
  add_chain(sorted.begin(), sorted.end());
  add_chain(sorted.rbegin(), sorted.rend());
  return hull;
}

/// Keeps the part of a convex outline where normal . x >= offset - slack (Sutherland & Hodgman 1974).
void clip(std::vector<Vector3>& outline, const Vector3& normal, double offset,
          std::vector<Vector3>& scratch) {
  scratch.clear();
  for (std::size_t i = 0; i < outline.size(); ++i) {
    const Vector3 &a = outline[i], &b = outline[(i + 1) % outline.size()];
    const double height_a = normal.dot(a) - offset + slack_m, height_b = normal.dot(b) - offset + slack_m;
    if (height_a >= 0) scratch.push_back(a);
    if ((height_a < 0) != (height_b < 0)) scratch.push_back(a + (b - a) * (height_a / (height_a - height_b)));
  }
  outline.swap(scratch);
}

}  // namespace

/// State of the depth-first traversal of the images of one source.
struct MirrorSearch::Walk {
  const std::vector<Vector3>& ears;
  int order = 0;                                            // highest order still followed
  std::array<Vector3, MirrorPath::most_order + 1> image{};  // [0] the source
  std::array<int, MirrorPath::most_order + 1> face{};       // [depth] the last reflecting face
  std::array<Outline, MirrorPath::most_order + 1> lit{};    // part of that face inside the pyramid
  mutable Outline scratch{};
  std::array<std::uint64_t, MirrorPath::most_order + 1> images{};  // [order] followed so far
  std::vector<std::pair<std::size_t, MirrorPath>> valid{};         // with the ear, as found

  /// Counts an image and drops the orders that together have more than `most`. In the end the highest order
  /// remains whose images number at most `most`, whatever the order of traversal.
  void count(int depth, std::uint64_t most) {
    ++images[depth];
    std::uint64_t sum = 0;
    for (int d = 1; d <= order; ++d) {
      sum += images[d];
      if (sum > most) order = d - 1;
    }
  }
};

MirrorSearch::MirrorSearch(const Cabin& cabin, int order, bool prune, std::uint64_t most)
    : cabin_(cabin), order_(std::clamp(order, 0, MirrorPath::most_order)), prune_(prune), most_(most) {
  const std::vector<Face>& faces = cabin.faces();
  // A face in or beyond a plane of the shell that has the whole cabin on one side cannot reflect.
  std::vector<const Face*> supporting;
  for (const Face& wall : faces) {
    if (wall.block >= 0) continue;
    const bool whole = std::all_of(faces.begin(), faces.end(), [&](const Face& other) {
      return other.block >= 0 ||
             std::all_of(other.corner.begin(), other.corner.end(),
                         [&](const Vector3& corner) { return wall.height_over(corner) > -1e-9; });
    });
    if (whole) supporting.push_back(&wall);
  }
  for (std::size_t f = 0; f < faces.size(); ++f) {
    hull_.push_back(convex_outline(faces[f].corner, faces[f].normal));
    const bool beyond =
        faces[f].block >= 0 && std::any_of(supporting.begin(), supporting.end(), [&](const Face* wall) {
          return std::all_of(faces[f].corner.begin(), faces[f].corner.end(), [&](const Vector3& corner) {
            return wall->height_over(corner) <= same_point_m;
          });
        });
    if (!beyond) mirrors_.push_back(static_cast<int>(f));
  }
}

MirrorSearchCount MirrorSearch::run(const Vector3& source, const std::vector<Vector3>& ears,
                                    const std::function<void(std::size_t, const MirrorPath&)>& found) const {
  Walk walk{.ears = ears, .order = order_};
  walk.image[0] = source;
  for (std::size_t e = 0; e < ears.size(); ++e) {
    if (!cabin_.segment_free(source, ears[e])) continue;
    MirrorPath direct;
    const Vector3 straight = ears[e] - source;
    direct.length_m = straight.norm();
    direct.departure = straight / direct.length_m;
    walk.valid.emplace_back(e, direct);
  }
  follow(walk, 0);

  MirrorSearchCount count;
  count.order = walk.order;
  for (int d = 1; d <= walk.order; ++d) count.images += walk.images[d];
  count.candidates = (count.images + 1) * ears.size();
  for (const auto& [ear, path] : walk.valid) {
    if (path.order > walk.order) continue;
    ++count.valid;
    found(ear, path);
  }
  return count;
}

void MirrorSearch::follow(Walk& walk, int depth) const {
  const Vector3 image = walk.image[depth];
  for (const int f : mirrors_) {
    if (depth >= walk.order) return;
    const Face& face = cabin_.faces()[f];
    const double height = face.height_over(image);
    if (height <= same_point_m) continue;
    if (prune_ && !lit_part(walk, depth, f, walk.lit[depth + 1])) continue;
    walk.face[depth + 1] = f;
    walk.image[depth + 1] = image - 2 * height * face.normal;
    walk.count(depth + 1, most_);
    if (depth >= walk.order) return;
    for (std::size_t e = 0; e < walk.ears.size(); ++e) {
      MirrorPath path;
      if (trace(walk, depth + 1, walk.ears[e], path)) walk.valid.emplace_back(e, path);
    }
    follow(walk, depth + 1);
  }
}

bool MirrorSearch::lit_part(const Walk& walk, int depth, int face, Outline& part) const {
  // Clip the face by the plane of the last face and by the sides of the pyramid from the image through its
  // lit part.
  part = hull_[face];
  if (depth == 0) return true;
  const Face& last = cabin_.faces()[walk.face[depth]];
  clip(part, last.normal, last.offset, walk.scratch);
  if (part.size() < 3) return false;
  const Vector3& apex = walk.image[depth];
  const Outline& window = walk.lit[depth];
  Vector3 middle = Vector3::Zero();
  for (const Vector3& corner : window) middle += corner;
  middle /= static_cast<double>(window.size());
  for (std::size_t i = 0; i < window.size(); ++i) {
    Vector3 side = (window[i] - apex).cross(window[(i + 1) % window.size()] - apex);
    const double norm = side.norm();
    if (norm < 1e-14) continue;
    side /= norm;
    if (side.dot(middle - apex) < 0) side = -side;
    clip(part, side, side.dot(apex), walk.scratch);
    if (part.size() < 3) return false;
  }
  return true;
}

bool MirrorSearch::trace(const Walk& walk, int depth, const Vector3& ear, MirrorPath& path) const {
  // Fold the path back from the ear to the source, face by face, then check exposure and free segments.
  Vector3 target = ear;
  for (int d = depth; d > 0; --d) {
    const int f = walk.face[d];
    const Face& face = cabin_.faces()[f];
    const Vector3 line = walk.image[d] - target;
    const double above = face.height_over(target), below = -face.height_over(walk.image[d]);
    if (above <= same_point_m || below <= 0) return false;
    const Vector3 point = target + line * (above / (above + below));
    if (!cabin_.face_contains(f, point)) return false;
    path.face[d - 1] = f;
    path.point[d - 1] = point;
    path.cosine[d - 1] = (above + below) / line.norm();
    target = point;
  }
  path.order = depth;
  path.length_m = (ear - walk.image[depth]).norm();
  path.departure = (path.point[0] - walk.image[0]).normalized();
  for (int d = 0; d < depth; ++d)
    if (!cabin_.exposed(path.face[d], path.point[d])) return false;
  for (int d = 0; d <= depth; ++d)
    if (!cabin_.segment_free(d == 0 ? walk.image[0] : path.point[d - 1], d == depth ? ear : path.point[d]))
      return false;
  return true;
}

}  // namespace cabinfield
