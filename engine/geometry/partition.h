// What stands in for a partition before rays, and what a partition must be.
#pragma once

#include <vector>

#include "geometry/cabin.h"
#include "geometry/cabin_shape.h"

namespace cabinfield {

/// The thickness with which a partition stands before rays, m: under what they resolve, over same_point_m.
inline constexpr double partition_thickness_m = 0.004;

/// Of the partition of that index: a thin solid of its name, its two faces called "front" and "rear" (where
/// it lies flatter than 45 degrees "bottom" and "top"), and a cut through it for each open opening.
std::vector<Block> stand_ins(const Partition& partition, int index);

/// How far a point lies along the line of the partition, from its first end, and off its plane (rearward or
/// upward counts as positive), m.
struct OnPartition {
  double along_m = 0, off_m = 0;
};
OnPartition on_partition(const Partition& partition, const Vector3& point);

/// The point moved into the plane of the partition.
Vector3 into_plane(const Partition& partition, const Vector3& point);

/// Lines and ranges of some length; openings within the sheet, apart from each other.
void check_partitions(const CabinShape& shape, std::vector<ShapeProblem>& problems);

}  // namespace cabinfield
