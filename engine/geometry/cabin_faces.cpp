// Builds the faces of a cabin from its shape: sweeps the outline into the shell, sweeps the polygons of
// blocks, and cuts faces into patches.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "base/constants.h"
#include "geometry/cabin.h"
#include "geometry/partition.h"

namespace cabinfield {
namespace {

using Object = ShapeProblem::Object;

/// More than a person measures; loops over pairs of faces or edges still take only seconds.
constexpr std::size_t most_faces = 800;

Vector3 newell_normal(const std::vector<Vector3>& corner) {
  Vector3 normal = Vector3::Zero();
  for (std::size_t i = 0; i < corner.size(); ++i) normal += corner[i].cross(corner[(i + 1) % corner.size()]);
  return normal;
}

std::vector<Vector3> without_repeats(const std::vector<Vector3>& corners) {
  std::vector<Vector3> kept;
  for (const Vector3& corner : corners)
    if (kept.empty() || (corner - kept.back()).norm() > 1e-9) kept.push_back(corner);
  if (kept.size() > 1 && (kept.front() - kept.back()).norm() <= 1e-9) kept.pop_back();
  return kept;
}

/// A face whose normal points to the side of `toward`; without corners if it has no area.
Face make_face(std::vector<Vector3> corners, const Vector3& toward, int surface, int material, int block) {
  Face face;
  face.corner = without_repeats(corners);
  face.surface = surface;
  face.material = material;
  face.block = block;
  const Vector3 normal = newell_normal(face.corner);
  if (face.corner.size() < 3 || normal.norm() < 2e-9) return {};
  face.normal = normal.normalized();
  if (face.normal.dot(toward) < 0) {
    std::reverse(face.corner.begin(), face.corner.end());
    face.normal = -face.normal;
  }
  face.offset = face.normal.dot(face.corner.front());
  return face;
}

/// Outline counter-clockwise (x to the right, z up) with a corner wherever an edge crosses a level of the
/// sides.
std::vector<OutlineCorner> with_levels(std::vector<OutlineCorner> outline,
                                       const std::vector<SideCorner>& sides) {
  Polygon2 polygon;
  for (const OutlineCorner& corner : outline) polygon.push_back(corner.point);
  if (signed_area(polygon) < 0) {
    // Reversing the order moves each edge's name to the corner at its other end.
    std::vector<OutlineCorner> turned;
    for (std::size_t i = outline.size(); i-- > 0;) {
      const OutlineCorner& names = outline[(i + outline.size() - 1) % outline.size()];
      turned.push_back({outline[i].point, names.surface, names.material});
    }
    outline = std::move(turned);
  }
  std::vector<OutlineCorner> result;
  for (std::size_t i = 0; i < outline.size(); ++i) {
    const OutlineCorner& from = outline[i];
    const Vector2 to = outline[(i + 1) % outline.size()].point;
    result.push_back(from);
    std::vector<double> at;
    for (const SideCorner& side : sides) {
      const double rise = to.y() - from.point.y();
      if (std::abs(rise) < 1e-12) continue;
      const double t = (side.z - from.point.y()) / rise;
      if (t > 1e-9 && t < 1 - 1e-9) at.push_back(t);
    }
    std::sort(at.begin(), at.end());
    for (double t : at) result.push_back({from.point + t * (to - from.point), from.surface, from.material});
  }
  return result;
}

/// Default name of a block's face, by the direction of its normal.
std::string direction_name(const Vector3& normal) {
  int axis = 0;
  normal.cwiseAbs().maxCoeff(&axis);
  static constexpr const char* names[3][2] = {{"front", "rear"}, {"left", "right"}, {"bottom", "top"}};
  return names[axis][normal[axis] > 0 ? 1 : 0];
}

std::string coordinates(const Vector2& point, const char* second) {
  return fmt::format("(x {:.0f} mm, {} {:.0f} mm)", point.x() * 1000, second, point.y() * 1000);
}

void check_outline(const CabinShape& shape, std::vector<ShapeProblem>& problems) {
  if (shape.outline.size() < 3) {
    problems.push_back(
        {Object::outline, -1, -1,
         fmt::format("the side view has {} corners, at least 3 are needed", shape.outline.size())});
    return;
  }
  Polygon2 polygon;
  for (const OutlineCorner& corner : shape.outline) polygon.push_back(corner.point);
  if (auto edges = crossing_edges(polygon)) {
    const auto [a, b] = *edges;
    const auto n = polygon.size();
    problems.push_back(
        {Object::outline, -1, a,
         fmt::format(
             "the side view crosses or touches itself: the edge from {} to {} meets the edge from {} to {}",
             coordinates(polygon[a], "z"), coordinates(polygon[(a + 1) % n], "z"),
             coordinates(polygon[b], "z"), coordinates(polygon[(b + 1) % n], "z"))});
    return;
  }
  if (shape.sides.size() < 2) {
    problems.push_back(
        {Object::sides, -1, -1,
         fmt::format("sides have {} corners, at least 2 (floor and roof) are needed", shape.sides.size())});
    return;
  }
  for (std::size_t i = 0; i + 1 < shape.sides.size(); ++i)
    if (shape.sides[i + 1].z - shape.sides[i].z < same_point_m)
      problems.push_back({Object::sides, -1, static_cast<int>(i + 1),
                          fmt::format("sides go from floor to roof: z {:.0f} mm is not above z {:.0f} mm",
                                      shape.sides[i + 1].z * 1000, shape.sides[i].z * 1000)});
  const auto widest =
      std::max_element(shape.sides.begin(), shape.sides.end(),
                       [](const SideCorner& a, const SideCorner& b) { return a.half_width < b.half_width; });
  for (std::size_t i = 0; i < shape.sides.size(); ++i) {
    // The floor or the roof may narrow to an edge, but the widest level must have width.
    const bool end = i == 0 || i + 1 == shape.sides.size();
    const bool may_be_narrow = end && shape.sides.begin() + static_cast<std::ptrdiff_t>(i) != widest;
    if (shape.sides[i].half_width < 0 || (!may_be_narrow && shape.sides[i].half_width < 0.01))
      problems.push_back({Object::sides, -1, static_cast<int>(i),
                          fmt::format("half width {:.0f} mm at z {:.0f} mm: at least 10 mm is needed",
                                      shape.sides[i].half_width * 1000, shape.sides[i].z * 1000)});
  }
  const auto [low, high] = std::minmax_element(
      polygon.begin(), polygon.end(), [](const Vector2& a, const Vector2& b) { return a.y() < b.y(); });
  // 5 mm: less than the scatter of tape measurements, more than rounding.
  const double floor_gap = shape.sides.front().z - low->y(), roof_gap = shape.sides.back().z - high->y();
  if (std::abs(floor_gap) > 0.005)
    problems.push_back(
        {Object::sides, -1, 0,
         fmt::format("profile and sides disagree on the floor: the side view starts at z {:.0f} mm, "
                     "the sides at z {:.0f} mm (5 mm apart at most)",
                     low->y() * 1000, shape.sides.front().z * 1000)});
  if (std::abs(roof_gap) > 0.005)
    problems.push_back(
        {Object::sides, -1, static_cast<int>(shape.sides.size()) - 1,
         fmt::format("profile and sides disagree on the roof: the side view ends at z {:.0f} mm, "
                     "the sides at z {:.0f} mm (5 mm apart at most)",
                     high->y() * 1000, shape.sides.back().z * 1000)});
}

void check_blocks(const CabinShape& shape, std::vector<ShapeProblem>& problems) {
  for (std::size_t b = 0; b < shape.blocks.size(); ++b) {
    const Block& block = shape.blocks[b];
    const int index = static_cast<int>(b);
    const char* second = block.sweep == Sweep::across ? "z" : "y";
    if (block.corner.size() < 3) {
      problems.push_back(
          {Object::block, index, -1,
           fmt::format("block '{}' has {} corners, at least 3 are needed", block.name, block.corner.size())});
      continue;
    }
    Polygon2 polygon;
    for (const BlockCorner& corner : block.corner) polygon.push_back(corner.point);
    if (auto edges = crossing_edges(polygon)) {
      const auto [i, j] = *edges;
      problems.push_back(
          {Object::block, index, i,
           fmt::format("the outline of block '{}' crosses or touches itself near {} and {}", block.name,
                       coordinates(polygon[i], second), coordinates(polygon[j], second))});
    }
    if (block.range[1] - block.range[0] < 1e-3)
      problems.push_back({Object::block, index, -1,
                          fmt::format("block '{}' is {:.1f} mm thick, at least 1 mm is needed", block.name,
                                      (block.range[1] - block.range[0]) * 1000)});
    if (std::abs(signed_area(polygon)) < 1e-5)
      problems.push_back({Object::block, index, -1,
                          fmt::format("block '{}' has an outline of {:.2f} cm2, at least 0.1 cm2 is needed",
                                      block.name, std::abs(signed_area(polygon)) * 1e4)});
  }
}

}  // namespace

Cabin Cabin::build(CabinShape shape, std::vector<ShapeProblem>& problems) {
  Cabin cabin;
  cabin.shape_ = std::move(shape);
  std::erase_if(cabin.shape_.blocks, [](const Block& block) { return block.partition >= 0; });
  const std::size_t before = problems.size();
  check_outline(cabin.shape_, problems);
  check_blocks(cabin.shape_, problems);
  check_partitions(cabin.shape_, problems);
  if (problems.size() > before) return cabin;

  // Faces of the shell, of the blocks, and of the stand-ins of partitions.
  for (const SideCorner& side : cabin.shape_.sides) cabin.side_levels_.push_back({side.z, side.half_width});
  cabin.add_shell_faces();
  cabin.add_block_faces(0);
  const std::size_t own_blocks = cabin.shape_.blocks.size();
  for (std::size_t p = 0; p < cabin.shape_.partitions.size(); ++p)
    for (Block& block : stand_ins(cabin.shape_.partitions[p], static_cast<int>(p)))
      cabin.shape_.blocks.push_back(std::move(block));
  cabin.add_block_faces(own_blocks);
  cabin.apply_patches(problems);
  if (cabin.faces_.size() > most_faces) {
    problems.push_back(
        {Object::outline, -1, -1,
         fmt::format("the cabin has {} faces, at most {} are allowed: draw round parts with fewer corners",
                     cabin.faces_.size(), most_faces)});
    return cabin;
  }
  // Each face in its own two coordinates, and the earlier coplanar faces, which take precedence.
  for (const Face& face : cabin.faces_) {
    int normal_axis = 0;
    face.normal.cwiseAbs().maxCoeff(&normal_axis);
    const std::array<int, 2> axes{normal_axis == 0 ? 1 : 0, normal_axis == 2 ? 1 : 2};
    Polygon2 flat;
    for (const Vector3& corner : face.corner) flat.push_back({corner[axes[0]], corner[axes[1]]});
    cabin.face_axes_.push_back(axes);
    cabin.face_outline_.push_back(std::move(flat));
    std::vector<int> earlier;
    for (std::size_t other = 0; other + 1 < cabin.face_outline_.size(); ++other)
      if ((cabin.faces_[other].normal - face.normal).norm() < 1e-9 &&
          std::abs(cabin.faces_[other].offset - face.offset) < same_point_m)
        earlier.push_back(static_cast<int>(other));
    cabin.earlier_coplanar_.push_back(std::move(earlier));
  }
  // Volume without the stand-ins, since partitions have none; exposed areas with them.
  std::vector<Solid> all = cabin.solids_;
  cabin.solids_.resize(own_blocks);
  cabin.air_volume_m3_ = cabin.measure_air_volume();
  cabin.solids_ = std::move(all);
  for (std::size_t f = 0; f < cabin.faces_.size(); ++f)
    cabin.exposed_area_m2_.push_back(cabin.exposed_area_of_face(f));
  return cabin;
}

int Cabin::surface_of(const std::string& name) {
  const int found = surface_index(name);
  if (found >= 0) return found;
  surfaces_.push_back(name);
  return static_cast<int>(surfaces_.size()) - 1;
}

void Cabin::add_shell_faces() {
  const auto outline = with_levels(shape_.outline, shape_.sides);
  for (const OutlineCorner& corner : outline) outline_.push_back(corner.point);
  // Surfaces in the order of their names in the file, not of the reversed outline.
  for (const OutlineCorner& corner : shape_.outline) surface_of(corner.surface);

  for (std::size_t i = 0; i < outline.size(); ++i) {
    const Vector2 a = outline[i].point, b = outline[(i + 1) % outline.size()].point;
    const double wide_a = half_width(a.y()), wide_b = half_width(b.y());
    const Vector2 along = b - a;
    // Counter-clockwise in (x, z): the inside is to the left of each edge.
    const Vector3 inward(-along.y(), 0, along.x());
    Face face = make_face(
        {{a.x(), -wide_a, a.y()}, {a.x(), wide_a, a.y()}, {b.x(), wide_b, b.y()}, {b.x(), -wide_b, b.y()}},
        inward, surface_of(outline[i].surface), outline[i].material, -1);
    if (!face.corner.empty()) faces_.push_back(std::move(face));
  }
  for (std::size_t i = 0; i + 1 < shape_.sides.size(); ++i) {
    const SideCorner &low = shape_.sides[i], &high = shape_.sides[i + 1];
    std::vector<Polygon2> parts;
    for (const Polygon2& below : split(outline_, {0, 1}, high.z).within)
      for (Polygon2& part : split(below, {0, 1}, low.z).beyond) parts.push_back(std::move(part));
    const double slope = (high.half_width - low.half_width) / (high.z - low.z);
    for (int side : {-1, 1}) {
      const int surface = surface_of(low.surface + (side < 0 ? "_left" : "_right"));
      for (const Polygon2& part : parts) {
        std::vector<Vector3> corners;
        for (const Vector2& p : part) corners.push_back({p.x(), side * half_width(p.y()), p.y()});
        Face face = make_face(std::move(corners), {0, -1.0 * side, slope}, surface, low.material, -1);
        if (!face.corner.empty()) faces_.push_back(std::move(face));
      }
    }
  }
}

void Cabin::add_block_faces(std::size_t first) {
  for (std::size_t b = first; b < shape_.blocks.size(); ++b) {
    const Block& block = shape_.blocks[b];
    const int index = static_cast<int>(b);
    const int axis_b = block.sweep == Sweep::across ? 2 : 1,
              axis_swept = block.sweep == Sweep::across ? 1 : 2;
    auto raise = [&](const Vector2& p, double at) {
      Vector3 point;
      point[0] = p.x();
      point[axis_b] = p.y();
      point[axis_swept] = at;
      return point;
    };
    // The polygon counter-clockwise, with the names of its faces.
    std::vector<BlockCorner> corners = block.corner;
    Polygon2 polygon;
    for (const BlockCorner& corner : corners) polygon.push_back(corner.point);
    if (signed_area(polygon) < 0) {
      std::vector<BlockCorner> turned;
      for (std::size_t i = corners.size(); i-- > 0;) {
        const BlockCorner& names = corners[(i + corners.size() - 1) % corners.size()];
        turned.push_back({corners[i].point, names.face, names.material});
      }
      corners = std::move(turned);
      std::reverse(polygon.begin(), polygon.end());
    }

    // Names of the faces: as given, else by direction, numbered if repeated.
    std::map<std::string, int> used;
    std::set<std::string> given;
    for (const BlockCorner& corner : corners)
      if (!corner.face.empty()) given.insert(corner.face);
    auto name_face = [&](const std::string& wanted, const Vector3& outward) {
      std::string face = wanted;
      if (face.empty()) {
        face = direction_name(outward);
        const int count = ++used[face];
        if (count > 1 || given.contains(face)) face += fmt::format("_{}", std::max(count, 2));
      }
      return surface_of(block.name + "." + face);
    };
    // The normals of a solid point outward, into the air; those of a cut point inward.
    const double sense = block.cut ? -1 : 1;
    auto material_of = [&](int own) { return own >= 0 ? own : block.material; };
    // A face for each side of the polygon.
    for (std::size_t i = 0; i < corners.size(); ++i) {
      const Vector2 p = corners[i].point, q = corners[(i + 1) % corners.size()].point;
      Vector3 outward = Vector3::Zero();
      outward[0] = q.y() - p.y();
      outward[axis_b] = -(q.x() - p.x());
      Face face = make_face({raise(p, block.range[0]), raise(p, block.range[1]), raise(q, block.range[1]),
                             raise(q, block.range[0])},
                            sense * outward, name_face(corners[i].face, outward),
                            material_of(corners[i].material), index);
      if (!face.corner.empty()) faces_.push_back(std::move(face));
    }
    // The two end faces.
    for (int end : {0, 1}) {
      std::vector<Vector3> cap;
      for (const Vector2& p : polygon) cap.push_back(raise(p, block.range[end]));
      Vector3 outward = Vector3::Zero();
      outward[axis_swept] = end == 0 ? -1 : 1;
      Face face = make_face(std::move(cap), sense * outward, name_face("", outward),
                            material_of(block.end_material[end]), index);
      if (!face.corner.empty()) faces_.push_back(std::move(face));
    }

    // The solid, with its bounding box.
    Solid solid;
    solid.polygon = polygon;
    solid.axis_b = axis_b;
    solid.axis_swept = axis_swept;
    solid.range = block.range;
    solid.cut = block.cut;
    for (int axis = 0; axis < 3; ++axis) solid.bounds[2 * axis] = 1e9, solid.bounds[2 * axis + 1] = -1e9;
    for (const Vector2& p : polygon)
      for (double at : block.range)
        for (int axis = 0; axis < 3; ++axis) {
          solid.bounds[2 * axis] = std::min(solid.bounds[2 * axis], raise(p, at)[axis]);
          solid.bounds[2 * axis + 1] = std::max(solid.bounds[2 * axis + 1], raise(p, at)[axis]);
        }
    solids_.push_back(std::move(solid));
  }
}

void Cabin::apply_patches(std::vector<ShapeProblem>& problems) {
  for (std::size_t p = 0; p < shape_.patches.size(); ++p) {
    const SurfacePatch& patch = shape_.patches[p];
    const int index = static_cast<int>(p);
    const int surface = surface_index(patch.surface);
    if (surface < 0) {
      problems.push_back({Object::patch, index, -1, fmt::format("there is no surface '{}'", patch.surface)});
      continue;
    }
    const int patch_surface = surface_of(patch.name);
    std::vector<Face> result;
    bool covered = false;
    for (const Face& face : faces_) {
      if (face.surface != surface) {
        result.push_back(face);
        continue;
      }
      // Work in the two coordinates in which the face is widest; lift goes back to three.
      int normal_axis = 0;
      face.normal.cwiseAbs().maxCoeff(&normal_axis);
      const int u = normal_axis == 0 ? 1 : 0, v = normal_axis == 2 ? 1 : 2;
      auto lift = [&](const Vector2& flat) {
        Vector3 point;
        point[u] = flat.x();
        point[v] = flat.y();
        point[normal_axis] =
            (face.offset - face.normal[u] * flat.x() - face.normal[v] * flat.y()) / face.normal[normal_axis];
        return point;
      };
      auto add = [&](const Polygon2& flat, int to_surface, int material) {
        std::vector<Vector3> corners;
        for (const Vector2& corner : flat) corners.push_back(lift(corner));
        Face part = make_face(std::move(corners), face.normal, to_surface, material, face.block);
        if (!part.corner.empty()) result.push_back(std::move(part));
      };
      Polygon2 flat;
      for (const Vector3& corner : face.corner) flat.push_back({corner[u], corner[v]});
      // Cut at both ends of each range: what lies beyond stays with the surface, the rest goes on.
      std::vector<Polygon2> inside{flat};
      for (int axis = 0; axis < 3; ++axis) {
        if (!patch.range[axis]) continue;
        for (int end : {0, 1}) {
          // sign * coordinate <= sign * limit, written in the face's own two coordinates.
          const double sign = end == 0 ? -1 : 1, limit = (*patch.range[axis])[end];
          Vector2 normal = Vector2::Zero();
          double offset = sign * limit;
          if (axis == u) normal.x() = sign;
          if (axis == v) normal.y() = sign;
          if (axis == normal_axis) {
            normal = Vector2(face.normal[u], face.normal[v]) * (-sign / face.normal[axis]);
            offset -= sign * face.offset / face.normal[axis];
          }
          std::vector<Polygon2> kept;
          for (const Polygon2& part : inside) {
            if (normal.norm() < 1e-12) {
              if (offset >= 0)
                kept.push_back(part);
              else
                add(part, face.surface, face.material);
              continue;
            }
            SplitPolygon parts = split(part, normal, offset);
            for (Polygon2& within : parts.within) kept.push_back(std::move(within));
            for (const Polygon2& beyond : parts.beyond) add(beyond, face.surface, face.material);
          }
          inside = std::move(kept);
        }
      }
      // What is left belongs to the patch.
      for (const Polygon2& part : inside) add(part, patch_surface, patch.material);
      covered |= !inside.empty();
    }
    faces_ = std::move(result);
    if (!covered)
      problems.push_back({Object::patch, index, -1,
                          fmt::format("patch '{}' covers no part of surface '{}': its ranges are outside it",
                                      patch.name, patch.surface)});
  }
  // Drop surfaces that patches cover completely.
  std::vector<int> renumbered(surfaces_.size(), -1);
  std::vector<std::string> names;
  for (std::size_t s = 0; s < surfaces_.size(); ++s)
    if (std::any_of(faces_.begin(), faces_.end(),
                    [&](const Face& face) { return face.surface == static_cast<int>(s); })) {
      renumbered[s] = static_cast<int>(names.size());
      names.push_back(surfaces_[s]);
    }
  for (Face& face : faces_) face.surface = renumbered[face.surface];
  surfaces_ = std::move(names);
}

}  // namespace cabinfield
