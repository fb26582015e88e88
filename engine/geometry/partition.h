// The stand-in of a partition for rays, and the checks of a partition.
#pragma once

#include <vector>

#include "geometry/cabin.h"
#include "geometry/cabin_shape.h"

namespace cabinfield {

/// Thickness of a partition for rays, m: less than they resolve, more than same_point_m.
inline constexpr double partition_thickness_m = 0.004;

/// Stand-ins of the partition with that index: a thin solid of the same name with faces "front" and "rear"
/// (if flatter than 45 degrees, "bottom" and "top"), and a cut through it for each open opening.
std::vector<Block> stand_ins(const Partition& partition, int index);

/// Distance of a point along the line of the partition, from its first end, and off its plane (positive
/// rearward or upward), m.
struct OnPartition {
  double along_m = 0, off_m = 0;
};
OnPartition on_partition(const Partition& partition, const Vector3& point);

/// The point moved into the plane of the partition.
Vector3 into_plane(const Partition& partition, const Vector3& point);

/// Reports lines or ranges that are too short, and openings that overlap or leave the sheet.
void check_partitions(const CabinShape& shape, std::vector<ShapeProblem>& problems);

}  // namespace cabinfield
