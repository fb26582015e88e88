// The cabin as input of the mesher: bodies and sheets to be combined, and the regions and faces against which
// the mesh is checked.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "field/wave/mesh.h"
#include "geometry/cabin.h"

namespace cabinfield {

/// A polygon swept across (polygon in x, z) or up (polygon in x, y).
struct Prism {
  Polygon2 polygon;
  Sweep sweep = Sweep::across;
  std::array<double, 2> range{};
  int block = -1;  ///< index into CabinShape::blocks

  bool contains(const Vector3& point) const;
};

using Quad = std::array<Vector3, 4>;

/// A partition's rectangle and the open openings in it.
struct Sheet {
  Quad rim;
  std::vector<Quad> holes;
  int partition = -1;
};

class MeshDrawing {
 public:
  /// Empty for a shape that cannot be built (after blocks were moved onto a grid).
  static std::optional<MeshDrawing> of(const CabinShape& shape);

  /// Side view (x, z) and cross-section (y, z); the shell is the intersection of both sweeps.
  Polygon2 profile, section;
  std::vector<Prism> solids, cuts, fillings;
  std::vector<Sheet> sheets;
  /// Outlines of surface patches: parts of a plane with a name and material of their own.
  std::vector<std::vector<Vector3>> patches;

  /// The cabin without fillings and partitions; its air is the volume to mesh.
  const Cabin& hollow() const { return hollow_; }
  /// Index of the filled block that contains the point, Mesh::air, or none outside the air.
  static constexpr int none = -2;
  int region_at(const Vector3& point) const;
  /// Exposed face of `hollow` at a point with that normal (into the air), or -1.
  int hollow_face(const Vector3& middle, const Vector3& normal) const;

 private:
  Cabin hollow_;
};

/// The shape with coordinates of blocks and partitions rounded to a grid, and notes on what moved and how
/// far.
struct SnappedShape {
  CabinShape shape;
  std::vector<std::string> notes;
};
SnappedShape snapped(const CabinShape& shape, double grid_m);

}  // namespace cabinfield
