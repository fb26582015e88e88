// A cabin stretched to other lengths: planes across the body move along x and z, half widths and the heads'
// distance from the centre line change, and everything between follows in proportion.
//
// The three coordinates are stretched separately, so a side view swept across the car stays one, and faces
// that were in order along an axis stay in order.
#pragma once

#include <string>
#include <vector>

#include "base/vector.h"
#include "geometry/cabin_shape.h"

namespace cabinfield {

/// What may move: planes of constant x and z, half widths at heights, the heads' distance from the centre
/// line. m; x and z rising; at least two of each.
struct FreePlanes {
  std::vector<double> x, z;
  std::vector<std::string> x_name, z_name;  ///< in words, "the foot of the windscreen"
  std::vector<double> side_z, half_width;   ///< levels of the sides, as drawn
  double head_y = 0;  ///< |y| of the first head, m; 0: there is none off the centre line

  /// One unknown a gap between planes along x and z, one a level of the sides, one for the heads.
  std::size_t degrees_of_freedom() const { return x.size() - 1 + z.size() - 1 + half_width.size() + 1; }
};

/// The planes of a drawn cabin: both ends, the rows of heads, both ends of the roof, bulkheads (partitions
/// over most of the height), corners far from all of these; floor, roof, sills, the first head. `heads`: the
/// driver's first.
FreePlanes free_planes(const CabinShape& shape, const std::vector<Vector3>& heads);

/// A map of points. The origin's x and z stay where they are.
class CabinWarp {
 public:
  /// `stretch`: natural logarithms of new length over old, [unknowns]: gaps along x, gaps along z, half
  /// widths, heads' y.
  CabinWarp(const FreePlanes& planes, const Eigen::VectorXd& stretch);

  double x(double old_x) const { return along(planes_.x, new_x_, old_x); }
  double z(double old_z) const { return along(planes_.z, new_z_, old_z); }
  /// `old_z`: at which height of the unchanged cabin; beyond the wall a point keeps its distance from it.
  double y(double old_y, double old_z) const;
  Vector3 operator()(const Vector3& point) const;

  /// Half width at a height, before and after.
  double old_half_width(double old_z) const;
  double new_half_width(double old_z) const;
  const FreePlanes& planes() const { return planes_; }

 private:
  static double along(const std::vector<double>& from, const std::vector<double>& to, double value);

  FreePlanes planes_;
  std::vector<double> new_x_, new_z_, new_half_width_;
  double new_head_y_ = 0;
};

/// The map that moves nothing.
CabinWarp unmoved(const FreePlanes& planes);

}  // namespace cabinfield
