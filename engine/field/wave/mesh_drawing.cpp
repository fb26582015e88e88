#include "field/wave/mesh_drawing.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "base/constants.h"
#include "geometry/partition.h"

namespace cabinfield {
namespace {

Prism prism_of(const Block& block, int index) {
  Prism prism{{}, block.sweep, block.range, index};
  for (const BlockCorner& corner : block.corner)
    if (prism.polygon.empty() || (corner.point - prism.polygon.back()).norm() > 1e-9)
      prism.polygon.push_back(corner.point);
  if (prism.polygon.size() > 1 && (prism.polygon.front() - prism.polygon.back()).norm() <= 1e-9)
    prism.polygon.pop_back();
  return prism;
}

Sheet sheet_of(const Partition& partition, int index) {
  const Vector2 from = partition.line[0], along = (partition.line[1] - from).normalized();
  auto quad = [&](double start, double end, double left, double right) {
    const Vector2 a = from + start * along, b = from + end * along;
    return Quad{Vector3(a.x(), left, a.y()), Vector3(b.x(), left, b.y()), Vector3(b.x(), right, b.y()),
                Vector3(a.x(), right, a.y())};
  };
  Sheet sheet;
  sheet.partition = index;
  sheet.rim = quad(0, (partition.line[1] - from).norm(), partition.range[0], partition.range[1]);
  for (const PartitionOpening& opening : partition.openings) {
    if (!opening.open) continue;
    const double middle = on_partition(partition, opening.centre).along_m;
    sheet.holes.push_back(quad(middle - 0.5 * opening.height_m, middle + 0.5 * opening.height_m,
                               opening.centre.y() - 0.5 * opening.width_m,
                               opening.centre.y() + 0.5 * opening.width_m));
  }
  return sheet;
}

/// Builds the cabin without patches that have lost their surface or their area.
std::optional<Cabin> build_without_lost_patches(CabinShape shape) {
  for (;;) {
    std::vector<ShapeProblem> problems;
    Cabin cabin = Cabin::build(shape, problems);
    if (problems.empty()) return cabin;
    std::set<int, std::greater<>> lost;
    for (const ShapeProblem& problem : problems) {
      if (problem.object != ShapeProblem::Object::patch) return std::nullopt;
      lost.insert(problem.index);
    }
    for (int patch : lost) shape.patches.erase(shape.patches.begin() + patch);
  }
}

/// Half widths on both sides, extended vertically to the ends of the profile.
Polygon2 section_of(const std::vector<SideCorner>& sides, const Polygon2& profile) {
  const auto [low, high] = std::minmax_element(
      profile.begin(), profile.end(), [](const Vector2& a, const Vector2& b) { return a.y() < b.y(); });
  std::vector<Vector2> right;
  if (low->y() < sides.front().z - same_point_m) right.emplace_back(sides.front().half_width, low->y());
  for (const SideCorner& side : sides) right.emplace_back(side.half_width, side.z);
  if (high->y() > sides.back().z + same_point_m) right.emplace_back(sides.back().half_width, high->y());
  Polygon2 section = right;
  for (std::size_t i = right.size(); i-- > 0;)
    if (right[i].x() > same_point_m) section.emplace_back(-right[i].x(), right[i].y());
  return section;
}

}  // namespace

bool Prism::contains(const Vector3& point) const {
  const int axis_b = sweep == Sweep::across ? 2 : 1, swept = 3 - axis_b;
  return point[swept] > range[0] && point[swept] < range[1] &&
         cabinfield::contains(polygon, {point[0], point[axis_b]});
}

std::optional<MeshDrawing> MeshDrawing::of(const CabinShape& shape) {
  MeshDrawing drawing;
  for (const OutlineCorner& corner : shape.outline) drawing.profile.push_back(corner.point);
  drawing.section = section_of(shape.sides, drawing.profile);
  CabinShape bare = shape;
  bare.partitions.clear();
  std::erase_if(bare.blocks, [](const Block& block) {
    return block.partition >= 0 || (block.filling >= 0 && !block.cut);
  });
  auto hollow = build_without_lost_patches(std::move(bare));
  if (!hollow) return std::nullopt;
  drawing.hollow_ = std::move(*hollow);

  for (std::size_t b = 0; b < shape.blocks.size(); ++b) {
    const Block& block = shape.blocks[b];
    if (block.partition >= 0) continue;
    auto& kind = block.cut ? drawing.cuts : block.filling >= 0 ? drawing.fillings : drawing.solids;
    kind.push_back(prism_of(block, static_cast<int>(b)));
  }
  for (std::size_t p = 0; p < shape.partitions.size(); ++p)
    drawing.sheets.push_back(sheet_of(shape.partitions[p], static_cast<int>(p)));
  std::set<std::string> names;
  for (const SurfacePatch& patch : drawing.hollow_.shape().patches) names.insert(patch.name);
  for (const Face& face : drawing.hollow_.faces())
    if (names.contains(drawing.hollow_.surfaces()[face.surface])) drawing.patches.push_back(face.corner);
  return drawing;
}

int MeshDrawing::region_at(const Vector3& point) const {
  if (!hollow_.in_air(point)) return none;
  for (const Prism& cut : cuts)
    if (cut.contains(point)) return Mesh::air;
  for (const Prism& filling : fillings)
    if (filling.contains(point)) return filling.block;
  return Mesh::air;
}

int MeshDrawing::hollow_face(const Vector3& middle, const Vector3& normal) const {
  // Rounding of the mesher's geometry kernel: of a coordinate, and of the normal of a small triangle.
  constexpr double off_plane_m = 1e-6, turned = 1e-4;
  for (std::size_t f = 0; f < hollow_.faces().size(); ++f) {
    const Face& face = hollow_.faces()[f];
    const double height = face.height_over(middle);
    if (std::abs(height) > off_plane_m || face.normal.dot(normal) < 1 - turned) continue;
    const Vector3 on = middle - height * face.normal;
    const int index = static_cast<int>(f);
    if (hollow_.face_contains(index, on) && hollow_.exposed(index, on)) return index;
  }
  return -1;
}

SnappedShape snapped(const CabinShape& shape, double grid_m) {
  SnappedShape result{shape, {}};
  auto on_grid = [&](double value) { return std::round(value / grid_m) * grid_m; };
  auto point_on_grid = [&](const Vector2& point) { return Vector2(on_grid(point.x()), on_grid(point.y())); };
  auto range_on_grid = [&](const std::array<double, 2>& range) {
    std::array<double, 2> moved{on_grid(range[0]), on_grid(range[1])};
    if (moved[1] - moved[0] < 0.5 * grid_m) moved[1] = moved[0] + grid_m;
    return moved;
  };
  auto moved_by = [](const std::array<double, 2>& one, const std::array<double, 2>& other) {
    return std::max(std::abs(one[0] - other[0]), std::abs(one[1] - other[1]));
  };
  auto tell = [&](const char* kind, const std::string& name, double moved_m) {
    if (moved_m > same_point_m)
      result.notes.push_back(fmt::format("{} {}: moved by up to {} mm so that the cabin can be meshed", kind,
                                         name, std::ceil(moved_m * 1e4 - 1e-3) / 10));
  };
  for (Block& block : result.shape.blocks) {
    if (block.partition >= 0) continue;
    Block moved = block;
    double most = 0;
    Polygon2 polygon;
    for (BlockCorner& corner : moved.corner) {
      const Vector2 target = point_on_grid(corner.point);
      most = std::max(most, (target - corner.point).norm());
      corner.point = target;
    }
    // Merge corners that now coincide.
    for (std::size_t i = 0; i < moved.corner.size() && moved.corner.size() > 3;) {
      const std::size_t next = (i + 1) % moved.corner.size();
      if ((moved.corner[i].point - moved.corner[next].point).norm() < same_point_m)
        moved.corner.erase(moved.corner.begin() + static_cast<std::ptrdiff_t>(i));
      else
        ++i;
    }
    for (const BlockCorner& corner : moved.corner) polygon.push_back(corner.point);
    moved.range = range_on_grid(block.range);
    // Too small for this grid: keep the block as drawn.
    if (crossing_edges(polygon) || std::abs(signed_area(polygon)) < 1e-5) continue;
    tell("block", block.name, std::hypot(most, moved_by(moved.range, block.range)));
    block = std::move(moved);
  }
  for (Partition& partition : result.shape.partitions) {
    Partition moved = partition;
    double most = 0;
    for (Vector2& end : moved.line) {
      const Vector2 target = point_on_grid(end);
      most = std::max(most, (target - end).norm());
      end = target;
    }
    moved.range = range_on_grid(partition.range);
    if ((moved.line[1] - moved.line[0]).norm() < same_point_m) continue;
    for (PartitionOpening& opening : moved.openings) opening.centre = into_plane(moved, opening.centre);
    tell("partition", partition.name, std::hypot(most, moved_by(moved.range, partition.range)));
    partition = std::move(moved);
  }
  return result;
}

}  // namespace cabinfield
