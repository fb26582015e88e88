// The cabin as drawn: an outline swept across the car, sides, patches, blocks. Plain data, not yet checked.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "base/vector.h"

namespace cabinfield {

/// A corner of the side view (x, z), m; names the surface and material from it to the next corner.
struct OutlineCorner {
  Vector2 point;
  std::string surface;
  int material = 0;
  bool operator==(const OutlineCorner&) const = default;
};

/// Half width y (m) at height z (m); names the surface (one a side) and material from it up to the next.
struct SideCorner {
  double z = 0;
  double half_width = 0;
  std::string surface;
  int material = 0;
  bool operator==(const SideCorner&) const = default;
};

/// A part of a surface with its own name and material; an absent range sets no limit.
struct SurfacePatch {
  std::string surface;
  std::array<std::optional<std::array<double, 2>>, 3> range;  ///< x, y, z, m
  std::string name;
  int material = 0;
  bool operator==(const SurfacePatch&) const = default;
};

/// A corner of a block's polygon; names the face from it to the next corner ("" for a name by direction).
struct BlockCorner {
  Vector2 point;  ///< (x, z) where swept across, (x, y) where swept up
  std::string face;
  int material = -1;  ///< of that face; -1: the block's
  bool operator==(const BlockCorner&) const = default;
};

enum class Sweep { across, up };

/// A solid inside the cabin, or a cut: air subtracted from all solids.
struct Block {
  std::string name;
  Sweep sweep = Sweep::across;
  std::vector<BlockCorner> corner;
  std::array<double, 2> range{};  ///< along y where swept across, along z where swept up, m
  int material = 0;
  std::array<int, 2> end_material{-1, -1};  ///< of the faces at both ends of its sweep; -1: the block's
  bool cut = false;
  int filling =
      -1;  ///< of a porous body: index of its filling. Rays treat it as a solid with absorbing faces
  int partition = -1;  ///< of the stand-in of a sheet or opening: index of its partition. Used by rays only
  bool operator==(const Block&) const = default;
};

/// An opening in a partition: a rectangle in its plane.
struct PartitionOpening {
  std::string name;
  Vector3 centre = Vector3::Zero();  ///< m, in the plane of the partition
  double width_m = 0;                ///< across the car
  double height_m = 0;               ///< along the partition's line
  bool open = true;
  bool operator==(const PartitionOpening&) const = default;
};

/// A thin sheet in the air between two points of the side view, as wide as `range`. It may stick out of the
/// cabin. Its transfer impedance is found by its index when the wave field is set up.
struct Partition {
  std::string name;
  std::array<Vector2, 2> line{};  ///< (x, z), m
  std::array<double, 2> range{};  ///< y, m
  int material = 0;               ///< of both faces, for rays
  std::vector<PartitionOpening> openings;
  bool operator==(const Partition&) const = default;
};

/// A cabin: a closed box, or an outline with sides. A box has an outline and sides too.
struct CabinShape {
  std::vector<OutlineCorner> outline;
  std::vector<SideCorner> sides;
  std::vector<SurfacePatch> patches;
  std::vector<Block> blocks;
  std::vector<Partition> partitions;
  /// Length, width, height (m) of a cabin given as a box: x from 0, y centred, z from 0.
  std::optional<Vector3> box;
  bool operator==(const CabinShape&) const = default;
};

/// Depth of a block behind its face from that corner to the next, along the face's normal, m; for its ends
/// the length of its range.
double depth_behind(const Block& block, std::size_t corner);

/// The outline and sides of a box: surfaces front, rear, left, right, floor, roof with materials in that
/// order.
CabinShape box_shape(const Vector3& size_m, const std::array<int, 6>& materials);

}  // namespace cabinfield
