#include "support/brute_images.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace cabinfield::test {
namespace {

constexpr double tie_m = BruteImages::tie_m;
/// How far before and behind a face its air is looked for: ten times what could be a tie.
constexpr double look_m = 1e-5;
/// Pieces of a line shorter than this are rounding.
constexpr double nothing_m = 1e-9;

/// What can be said of a path: a chain is no better than its worst link.
enum class Verdict { no, tie, yes };
Verdict both(Verdict a, Verdict b) { return std::min(a, b); }
/// Of something that holds where the number is positive.
Verdict sign_of(double value) {
  if (std::abs(value) <= tie_m) return Verdict::tie;
  return value > 0 ? Verdict::yes : Verdict::no;
}

struct Plane2 {
  double x, y;
};

/// Times that a closed line goes round a point.
int winding(const std::vector<Plane2>& line, const Plane2& p) {
  int turns = 0;
  for (std::size_t i = 0; i < line.size(); ++i) {
    const Plane2 &a = line[i], &b = line[(i + 1) % line.size()];
    const double left = (b.x - a.x) * (p.y - a.y) - (p.x - a.x) * (b.y - a.y);
    if (a.y <= p.y && b.y > p.y && left > 0) ++turns;
    if (a.y > p.y && b.y <= p.y && left < 0) --turns;
  }
  return turns;
}

double distance_to_line(const std::vector<Plane2>& line, const Plane2& p) {
  double nearest = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < line.size(); ++i) {
    const Plane2 &a = line[i], &b = line[(i + 1) % line.size()];
    const double dx = b.x - a.x, dy = b.y - a.y, square = dx * dx + dy * dy;
    double along = square > 0 ? ((p.x - a.x) * dx + (p.y - a.y) * dy) / square : 0;
    along = std::min(1.0, std::max(0.0, along));
    nearest = std::min(nearest, std::hypot(p.x - a.x - along * dx, p.y - a.y - along * dy));
  }
  return nearest;
}

/// The air as drawn.
class DrawnAir {
 public:
  explicit DrawnAir(const CabinShape& shape) : shape_(shape) {
    for (const OutlineCorner& corner : shape.outline)
      outline_.push_back({corner.point.x(), corner.point.y()});
    for (const Block& block : shape.blocks) {
      std::vector<Plane2> line;
      for (const BlockCorner& corner : block.corner) line.push_back({corner.point.x(), corner.point.y()});
      blocks_.push_back(std::move(line));
    }
  }

  bool at(const Vector3& p) const {
    if (std::abs(p.y()) >= half_width(p.z()) || winding(outline_, {p.x(), p.z()}) == 0) return false;
    bool solid = false;
    for (std::size_t b = 0; b < blocks_.size(); ++b) {
      const Block& block = shape_.blocks[b];
      if (!in_block(b, p)) continue;
      if (block.cut) return true;
      solid = true;
    }
    return !solid;
  }

  /// Whether a shift of a tie's size can turn round what at() says.
  bool doubtful(const Vector3& p) const {
    const bool here = at(p);
    for (int x = -1; x <= 1; ++x)
      for (int y = -1; y <= 1; ++y)
        for (int z = -1; z <= 1; ++z)
          if (at(p + tie_m * Vector3(x, y, z)) != here) return true;
    return false;
  }

  /// Whether a straight piece passes air alone: between two planes of anything drawn it is in one medium.
  Verdict along(const Vector3& from, const Vector3& to) const {
    const Vector3 way = to - from;
    std::vector<double> at_share{0, 1};
    auto plane = [&](const Vector3& normal, const Vector3& point) {
      const double step = normal.dot(way);
      if (step == 0) return;
      const double share = normal.dot(point - from) / step;
      if (share > 0 && share < 1) at_share.push_back(share);
    };
    auto edges = [&](const std::vector<Plane2>& line, bool upright) {
      for (std::size_t i = 0; i < line.size(); ++i) {
        const Plane2 &a = line[i], &b = line[(i + 1) % line.size()];
        // Along the sweep: y of a profile, z of a plan.
        if (upright)
          plane({b.y - a.y, -(b.x - a.x), 0}, {a.x, a.y, 0});
        else
          plane({b.y - a.y, 0, -(b.x - a.x)}, {a.x, 0, a.y});
      }
    };
    edges(outline_, false);
    for (std::size_t s = 0; s < shape_.sides.size(); ++s) {
      const SideCorner& low = shape_.sides[s];
      plane({0, 0, 1}, {0, 0, low.z});
      if (s + 1 == shape_.sides.size()) continue;
      const SideCorner& high = shape_.sides[s + 1];
      const double rise = high.z - low.z, lean = high.half_width - low.half_width;
      plane({0, rise, -lean}, {0, low.half_width, low.z});
      plane({0, rise, lean}, {0, -low.half_width, low.z});
    }
    for (std::size_t b = 0; b < blocks_.size(); ++b) {
      const Block& block = shape_.blocks[b];
      const bool upright = block.sweep == Sweep::up;
      edges(blocks_[b], upright);
      for (double end : block.range)
        plane(upright ? Vector3(0, 0, 1) : Vector3(0, 1, 0),
              upright ? Vector3(0, 0, end) : Vector3(0, end, 0));
    }
    std::sort(at_share.begin(), at_share.end());
    Verdict verdict = Verdict::yes;
    const double length = way.norm();
    for (std::size_t i = 0; i + 1 < at_share.size(); ++i) {
      if ((at_share[i + 1] - at_share[i]) * length < nothing_m) continue;
      const Vector3 middle = from + 0.5 * (at_share[i] + at_share[i + 1]) * way;
      if (at(middle)) continue;
      if (!doubtful(middle)) return Verdict::no;
      verdict = Verdict::tie;
    }
    return verdict;
  }

 private:
  double half_width(double z) const {
    const auto& sides = shape_.sides;
    if (z <= sides.front().z) return sides.front().half_width;
    for (std::size_t i = 1; i < sides.size(); ++i)
      if (z <= sides[i].z) {
        const double share = (z - sides[i - 1].z) / (sides[i].z - sides[i - 1].z);
        return (1 - share) * sides[i - 1].half_width + share * sides[i].half_width;
      }
    return sides.back().half_width;
  }

  bool in_block(std::size_t b, const Vector3& p) const {
    const Block& block = shape_.blocks[b];
    const bool upright = block.sweep == Sweep::up;
    const double along = upright ? p.z() : p.y(), second = upright ? p.y() : p.z();
    return along > block.range[0] && along < block.range[1] && winding(blocks_[b], {p.x(), second}) != 0;
  }

  const CabinShape& shape_;
  std::vector<Plane2> outline_;
  std::vector<std::vector<Plane2>> blocks_;
};

/// A face with coordinates of its own.
struct Plate {
  Vector3 normal, origin, across, up;
  std::vector<Plane2> line;
  std::vector<int> earlier;  // in the same plane, looking the same way

  double height(const Vector3& p) const { return normal.dot(p - origin); }
  Plane2 flat(const Vector3& p) const { return {across.dot(p - origin), up.dot(p - origin)}; }
  Verdict inside(const Vector3& p) const {
    const Plane2 q = flat(p);
    const bool in = winding(line, q) != 0;
    const double edge = distance_to_line(line, q);
    return sign_of(in ? edge : -edge);
  }
};

std::vector<Plate> plates_of(const Cabin& cabin) {
  std::vector<Plate> plates;
  for (const Face& face : cabin.faces()) {
    Plate plate;
    plate.normal = face.normal;
    plate.origin = face.corner.front();
    plate.across = (face.corner[1] - face.corner[0]).normalized();
    plate.up = plate.normal.cross(plate.across);
    for (const Vector3& corner : face.corner) plate.line.push_back(plate.flat(corner));
    for (std::size_t other = 0; other < plates.size(); ++other)
      if (plates[other].normal.dot(plate.normal) > 1 - 1e-12 &&
          std::abs(plates[other].height(plate.origin)) < tie_m)
        plate.earlier.push_back(static_cast<int>(other));
    plates.push_back(std::move(plate));
  }
  return plates;
}

struct Enumeration {
  const std::vector<Plate>& plates;
  const DrawnAir& air;
  const std::vector<Vector3>& ears;
  const int order;
  BruteImages& result;
  std::vector<Vector3> image;  // of the source, in the faces so far; the source itself first
  std::vector<int> face = {};

  void visit() {
    ++result.sequences;
    for (std::size_t e = 0; e < ears.size(); ++e) look_from(e);
    if (static_cast<int>(face.size()) == order) return;
    for (std::size_t f = 0; f < plates.size(); ++f) {
      if (!face.empty() && face.back() == static_cast<int>(f)) continue;
      const Plate& plate = plates[f];
      face.push_back(static_cast<int>(f));
      image.push_back(image.back() - 2 * plate.height(image.back()) * plate.normal);
      visit();
      face.pop_back();
      image.pop_back();
    }
  }

  void look_from(std::size_t ear) {
    std::vector<Vector3>& point = points_;
    point.assign(face.size() + 2, ears[ear]);
    point.front() = image.front();
    Verdict verdict = Verdict::yes;
    for (std::size_t d = face.size(); d > 0; --d) {
      const Plate& plate = plates[face[d - 1]];
      const double above = plate.height(point[d + 1]), below = -plate.height(image[d]);
      verdict = both(verdict, both(sign_of(above), sign_of(below)));
      if (verdict == Verdict::no || above + below <= 0) return;
      point[d] = point[d + 1] + above / (above + below) * (image[d] - point[d + 1]);
      verdict = both(verdict, plate.inside(point[d]));
      if (verdict == Verdict::no) return;
    }
    for (std::size_t d = 1; d <= face.size(); ++d) {
      verdict = both(verdict, bare(face[d - 1], point[d]));
      if (verdict == Verdict::no) return;
    }
    for (std::size_t d = 0; d + 1 < point.size(); ++d) {
      verdict = both(verdict, air.along(point[d], point[d + 1]));
      if (verdict == Verdict::no) return;
    }
    result.paths[{ear, face}] = {(ears[ear] - image.back()).norm(), verdict == Verdict::tie};
  }

  /// The face is really there: air before it, none behind, no earlier one in its place.
  Verdict bare(int f, const Vector3& p) const {
    const Plate& plate = plates[f];
    const Vector3 before = p + look_m * plate.normal, behind = p - look_m * plate.normal;
    Verdict verdict = Verdict::yes;
    if (air.doubtful(before) || air.doubtful(behind)) verdict = Verdict::tie;
    if (verdict == Verdict::yes && (!air.at(before) || air.at(behind))) return Verdict::no;
    for (int earlier : plate.earlier) {
      const Verdict covered = plates[earlier].inside(p);
      if (covered == Verdict::yes) return Verdict::no;
      if (covered == Verdict::tie) verdict = Verdict::tie;
    }
    return verdict;
  }

  std::vector<Vector3> points_ = {};
};

}  // namespace

BruteImages brute_images(const Cabin& cabin, const Vector3& source, const std::vector<Vector3>& ears,
                         int order) {
  BruteImages result;
  const std::vector<Plate> plates = plates_of(cabin);
  const DrawnAir air(cabin.shape());
  Enumeration enumeration{plates, air, ears, order, result, {source}};
  enumeration.visit();
  return result;
}

}  // namespace cabinfield::test
