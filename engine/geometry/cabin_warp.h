// A cabin stretched to other lengths: planes across the body move along x and z, half widths and the heads'
// distance from the centre line change, and everything between is interpolated linearly.
//
// Each coordinate is stretched separately, so a swept side view stays a swept side view, and faces keep their
// order along each axis.
#pragma once

#include <string>
#include <vector>

#include "base/vector.h"
#include "geometry/cabin_shape.h"

namespace cabinfield {

/// The planes that may move (constant x or z), half widths at levels, and the heads' distance from the centre
/// line, m. x and z ascending; at least two of each.
struct FreePlanes {
  std::vector<double> x, z;
  std::vector<std::string> x_name, z_name;  ///< for messages: "the front edge of the roof"
  std::vector<double> side_z, half_width;   ///< levels of the sides, as drawn
  double head_y = 0;                        ///< |y| of the first head, m; 0 if none is off the centre line

  /// One for each gap between planes along x and z, one for each level of the sides, one for the heads.
  std::size_t degrees_of_freedom() const { return x.size() - 1 + z.size() - 1 + half_width.size() + 1; }
};

/// The planes of a drawn cabin. Along x: both ends, rows of heads, both ends of the roof, bulkheads
/// (partitions over most of the height), corners far from all of these. Along z: floor, roof, sills, the
/// first head. `heads`: the driver's first.
FreePlanes free_planes(const CabinShape& shape, const std::vector<Vector3>& heads);

/// A map of points that keeps x = 0 and z = 0.
class CabinWarp {
 public:
  /// `stretch`: natural logarithms of new over old length, [degrees of freedom]: gaps along x, gaps along z,
  /// half widths, heads' y.
  CabinWarp(const FreePlanes& planes, const Eigen::VectorXd& stretch);

  double x(double old_x) const { return along(planes_.x, new_x_, old_x); }
  double z(double old_z) const { return along(planes_.z, new_z_, old_z); }
  /// `old_z`: height in the original cabin. A point outside the wall keeps its distance from it.
  double y(double old_y, double old_z) const;
  Vector3 operator()(const Vector3& point) const;

  /// Half width at a height of the original cabin, before and after.
  double old_half_width(double old_z) const;
  double new_half_width(double old_z) const;
  const FreePlanes& planes() const { return planes_; }

 private:
  static double along(const std::vector<double>& from, const std::vector<double>& to, double value);

  FreePlanes planes_;
  std::vector<double> new_x_, new_z_, new_half_width_;
  double new_head_y_ = 0;
};

/// The identity map.
CabinWarp unmoved(const FreePlanes& planes);

}  // namespace cabinfield
