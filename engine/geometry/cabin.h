// The cabin: immutable, checked. Its faces, which reflect sound, and its air, where sound travels.
//
// Solids and cuts stay as drawn. Set algebra decides at each point or line what is air: inside the shell, and
// in no solid unless in a cut. So blocks may overlap, touch, or stick out of the cabin.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "base/vector.h"
#include "geometry/cabin_shape.h"
#include "geometry/polygon.h"

namespace cabinfield {

/// A flat piece of one surface. Corners in order; the normal points into the air.
struct Face {
  std::vector<Vector3> corner;
  Vector3 normal;
  double offset = 0;  ///< normal . x = offset on the face
  int surface = 0;    ///< index into Cabin::surfaces()
  int material = 0;
  int block = -1;  ///< index of the block, -1 for the shell

  double height_over(const Vector3& point) const { return normal.dot(point) - offset; }
};

/// A geometry error: which object (outline, sides, patch, block, partition) and which corner (-1: the whole).
struct ShapeProblem {
  enum class Object { outline, sides, patch, block, partition } object = Object::outline;
  int index = -1;   ///< which patch, block or partition
  int corner = -1;  ///< of a partition: which opening
  std::string message;
};

/// Position of a point relative to the cabin.
struct PointReport {
  bool in_air = false;
  int block = -1;         ///< the solid around the point, or -1
  bool outside = false;   ///< outside the shell
  double distance_m = 0;  ///< to the nearest face
  std::string nearest;    ///< surface of the nearest face
};

/// The nearest point on a surface.
struct Landing {
  int face = -1;  ///< -1 if there is no such surface
  Vector3 point;
  double distance_m = 0;
};

class Cabin {
 public:
  /// Builds faces and solids; appends geometry errors to `problems` (the cabin must then not be used).
  /// Stand-ins of the partitions are appended to the blocks of the shape; stand-ins already there are
  /// replaced.
  static Cabin build(CabinShape shape, std::vector<ShapeProblem>& problems);

  const CabinShape& shape() const { return shape_; }
  const std::vector<std::string>& surfaces() const { return surfaces_; }
  const std::vector<Face>& faces() const { return faces_; }
  int surface_index(const std::string& name) const;  ///< -1 if there is none

  /// True in the air; the boundary counts as air within same_point_m.
  bool in_air(const Vector3& point) const;
  /// True if the whole straight line is in air. A line along a surface is free.
  bool segment_free(const Vector3& from, const Vector3& to) const;
  /// True if the face is exposed at this point: air in front, none behind, and no earlier coplanar face
  /// there.
  bool exposed(int face, const Vector3& point) const;
  /// True if a point of the face's plane is inside its outline, edges included.
  bool face_contains(int face, const Vector3& point) const;

  PointReport report(const Vector3& point) const;
  /// The nearest point of a surface.
  Landing land(const Vector3& point, const std::string& surface) const;

  /// Partitions have no volume.
  double air_volume_m3() const { return air_volume_m3_; }
  /// Exposed area of each material index, m2, by sampling each face on a grid of 40 mm, coarser in a hall.
  std::vector<double> exposed_area_m2(int materials) const;
  /// Exposed area of a surface, m2, sampled in the same way.
  double surface_area_m2(int surface) const;

 private:
  struct Solid {
    Polygon2 polygon;
    int axis_a = 0, axis_b = 2, axis_swept = 1;
    std::array<double, 2> range{};
    std::array<double, 6> bounds{};  // x0 x1 y0 y1 z0 z1
    bool cut = false;
    bool holds(const Vector3& point, double margin) const;
    void crossings(const Vector3& from, const Vector3& along, std::vector<double>& at) const;
  };
  bool in_shell(const Vector3& point) const;
  bool in_cut(const Vector3& point) const;
  double half_width(double z) const;
  double measure_air_volume() const;
  double exposed_area_of_face(std::size_t face) const;
  void add_shell_faces();
  void add_block_faces(std::size_t first);
  void apply_patches(std::vector<ShapeProblem>& problems);
  int surface_of(const std::string& name);

  CabinShape shape_;
  Polygon2 outline_;
  std::vector<std::string> surfaces_;
  std::vector<Face> faces_;
  std::vector<Polygon2> face_outline_;              // of each face, in its own two coordinates
  std::vector<std::array<int, 2>> face_axes_;       // which coordinates those are
  std::vector<std::vector<int>> earlier_coplanar_;  // faces in the same plane that take precedence
  std::vector<Solid> solids_;
  std::vector<std::array<double, 2>> side_levels_;  // z, half width
  std::vector<double> exposed_area_m2_;             // of each face
  double air_volume_m3_ = 0;
};

}  // namespace cabinfield
