// The cabin as the mesher takes it: bodies and sheets to be put together, and what is where, to check the
// mesh against.
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

  bool holds(const Vector3& point) const;
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
  /// Empty where the shape cannot be built (after it was moved onto a grid).
  static std::optional<MeshDrawing> of(const CabinShape& shape);

  /// Side view (x, z) and cross-section (y, z); the shell is where both sweeps meet.
  Polygon2 profile, section;
  std::vector<Prism> solids, cuts, fillings;
  std::vector<Sheet> sheets;
  /// Flat pieces of the boundary that have a name and a material of their own, beside others in their plane.
  std::vector<std::vector<Vector3>> patches;

  /// The cabin without fillings and partitions: what is air in it is to be meshed.
  const Cabin& hollow() const { return hollow_; }
  /// Index of the filled block that holds the point, Mesh::air, or none where there is to be no mesh.
  static constexpr int none = -2;
  int region_at(const Vector3& point) const;
  /// Face of `hollow` that is there at the middle of a flat piece with that normal (into the air), or -1.
  int hollow_face(const Vector3& middle, const Vector3& normal) const;

 private:
  Cabin hollow_;
};

/// The shape with coordinates of blocks and partitions on a grid, and by how much which was moved, in words.
struct SnappedShape {
  CabinShape shape;
  std::vector<std::string> notes;
};
SnappedShape snapped(const CabinShape& shape, double grid_m);

}  // namespace cabinfield
