#include "geometry/partition.h"

#include <fmt/format.h>

#include <cmath>

#include "base/constants.h"

namespace cabinfield {
namespace {

/// Shorter is a typing error, m.
constexpr double least_extent_m = 0.01;
/// Tolerance for openings that reach the rim of their sheet, m.
constexpr double rim_m = 1e-4;

Vector2 along(const Partition& partition) { return (partition.line[1] - partition.line[0]).normalized(); }

/// Normal: rearward, or upward if the sheet is flat.
Vector2 across(const Partition& partition) {
  const Vector2 way = along(partition);
  const Vector2 normal(way.y(), -way.x());
  const bool flat = std::abs(normal.y()) > std::abs(normal.x());
  return (flat ? normal.y() : normal.x()) < 0 ? Vector2(-normal) : normal;
}

/// A strip along the line between two distances, half the thickness to each side.
Block slab(const Partition& partition, double from_m, double to_m) {
  const Vector2 way = along(partition), half = 0.5 * partition_thickness_m * across(partition);
  const Vector2 a = partition.line[0] + from_m * way, b = partition.line[0] + to_m * way;
  const bool flat = std::abs(half.y()) > std::abs(half.x());
  Block block;
  block.corner = {{a - half, flat ? "bottom" : "front"},
                  {b - half, "far_edge"},
                  {b + half, flat ? "top" : "rear"},
                  {a + half, "near_edge"}};
  block.material = partition.material;
  return block;
}

bool apart(const PartitionOpening& one, const OnPartition& at, const PartitionOpening& other,
           const OnPartition& there) {
  return std::abs(at.along_m - there.along_m) > 0.5 * (one.height_m + other.height_m) - same_point_m ||
         std::abs(one.centre.y() - other.centre.y()) > 0.5 * (one.width_m + other.width_m) - same_point_m;
}

}  // namespace

OnPartition on_partition(const Partition& partition, const Vector3& point) {
  const Vector2 from = Vector2(point.x(), point.z()) - partition.line[0];
  return {from.dot(along(partition)), from.dot(across(partition))};
}

Vector3 into_plane(const Partition& partition, const Vector3& point) {
  const Vector2 shift = on_partition(partition, point).off_m * across(partition);
  return point - Vector3(shift.x(), 0, shift.y());
}

std::vector<Block> stand_ins(const Partition& partition, int index) {
  const double length = (partition.line[1] - partition.line[0]).norm();
  std::vector<Block> blocks{slab(partition, 0, length)};
  blocks.front().name = partition.name;
  blocks.front().range = partition.range;
  for (const PartitionOpening& opening : partition.openings) {
    if (!opening.open) continue;
    const double middle = on_partition(partition, opening.centre).along_m;
    Block cut = slab(partition, middle - 0.5 * opening.height_m, middle + 0.5 * opening.height_m);
    cut.name = partition.name + "." + opening.name;
    cut.range = {opening.centre.y() - 0.5 * opening.width_m, opening.centre.y() + 0.5 * opening.width_m};
    cut.cut = true;
    cut.material = 0;
    blocks.push_back(std::move(cut));
  }
  for (Block& block : blocks) block.partition = index;
  return blocks;
}

void check_partitions(const CabinShape& shape, std::vector<ShapeProblem>& problems) {
  for (std::size_t p = 0; p < shape.partitions.size(); ++p) {
    const Partition& partition = shape.partitions[p];
    auto problem = [&](int opening, std::string words) {
      problems.push_back({ShapeProblem::Object::partition, static_cast<int>(p), opening, std::move(words)});
    };
    const double length = (partition.line[1] - partition.line[0]).norm();
    const double width = partition.range[1] - partition.range[0];
    if (length < least_extent_m)
      problem(-1, fmt::format("partition '{}': the ends of its line are {:.1f} mm apart, at least {:.0f} mm "
                              "are needed",
                              partition.name, length * 1000, least_extent_m * 1000));
    if (width < least_extent_m)
      problem(-1, fmt::format("partition '{}' is {:.1f} mm wide, at least {:.0f} mm are needed",
                              partition.name, width * 1000, least_extent_m * 1000));
    if (length < least_extent_m || width < least_extent_m) continue;
    for (std::size_t o = 0; o < partition.openings.size(); ++o) {
      const PartitionOpening& opening = partition.openings[o];
      const OnPartition at = on_partition(partition, opening.centre);
      const double y = opening.centre.y(), half_width = 0.5 * opening.width_m,
                   half_height = 0.5 * opening.height_m;
      if (at.along_m - half_height < -rim_m || at.along_m + half_height > length + rim_m)
        problem(static_cast<int>(o),
                fmt::format("opening '{}' of partition '{}' reaches from {:.0f} to {:.0f} mm along its line, "
                            "which ends at {:.0f} mm",
                            opening.name, partition.name, (at.along_m - half_height) * 1000,
                            (at.along_m + half_height) * 1000, length * 1000));
      if (y - half_width < partition.range[0] - rim_m || y + half_width > partition.range[1] + rim_m)
        problem(
            static_cast<int>(o),
            fmt::format("opening '{}' of partition '{}' reaches from y {:.0f} to {:.0f} mm, the partition "
                        "from {:.0f} to {:.0f} mm",
                        opening.name, partition.name, (y - half_width) * 1000, (y + half_width) * 1000,
                        partition.range[0] * 1000, partition.range[1] * 1000));
      for (std::size_t before = 0; before < o; ++before)
        if (!apart(opening, at, partition.openings[before],
                   on_partition(partition, partition.openings[before].centre)))
          problem(static_cast<int>(o),
                  fmt::format("openings '{}' and '{}' of partition '{}' overlap: draw them as one opening",
                              partition.openings[before].name, opening.name, partition.name));
    }
  }
}

}  // namespace cabinfield
