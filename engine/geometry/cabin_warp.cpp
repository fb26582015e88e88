#include "geometry/cabin_warp.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace cabinfield {
namespace {

/// A tape held by one hand cannot resolve planes closer than this, m.
constexpr double least_gap_x_m = 0.18, least_gap_z_m = 0.12;
/// A partition over this part of the height is a bulkhead: it divides the cabin into seats and load space.
constexpr double bulkhead_part = 0.8;
/// A corner of the side view farther than this from every plane gets its own plane, m.
constexpr double far_corner_m = 0.5;
/// A corner at most this far below the highest belongs to the roof, m.
constexpr double roof_depth_m = 0.15;

struct Plane {
  double at = 0;
  std::string name;
};

class Planes {
 public:
  void add(double at, std::string name, double least_gap) {
    for (const Plane& plane : planes_)
      if (std::abs(plane.at - at) < least_gap) return;
    planes_.push_back({at, std::move(name)});
  }
  void into(std::vector<double>& values, std::vector<std::string>& names) {
    std::sort(planes_.begin(), planes_.end(), [](const Plane& a, const Plane& b) { return a.at < b.at; });
    for (Plane& plane : planes_) {
      values.push_back(plane.at);
      names.push_back(std::move(plane.name));
    }
  }

 private:
  std::vector<Plane> planes_;
};

}  // namespace

FreePlanes free_planes(const CabinShape& shape, const std::vector<Vector3>& heads) {
  FreePlanes result;
  Planes x, z;
  double front = 1e9, rear = -1e9, top = -1e9, bottom = 1e9;
  for (const OutlineCorner& corner : shape.outline) {
    front = std::min(front, corner.point.x());
    rear = std::max(rear, corner.point.x());
    bottom = std::min(bottom, corner.point.y());
    top = std::max(top, corner.point.y());
  }
  x.add(front, "the front end", least_gap_x_m);
  x.add(rear, "the rear end", least_gap_x_m);
  for (std::size_t i = 0; i < heads.size(); ++i)
    x.add(heads[i].x(), i == 0 ? "the driver's head" : "another row's heads", least_gap_x_m);
  double roof_front = 1e9, roof_rear = -1e9;
  for (const OutlineCorner& corner : shape.outline)
    if (corner.point.y() > top - roof_depth_m) {
      roof_front = std::min(roof_front, corner.point.x());
      roof_rear = std::max(roof_rear, corner.point.x());
    }
  x.add(roof_front, "the front edge of the roof", least_gap_x_m);
  x.add(roof_rear, "the rear edge of the roof", least_gap_x_m);
  for (const Partition& partition : shape.partitions) {
    const Vector2 way = partition.line[1] - partition.line[0];
    if (std::abs(way.y()) >= bulkhead_part * (top - bottom) && std::abs(way.x()) < std::abs(way.y()))
      // Its rear end, so that all of it stretches with the space in front of it and stays straight.
      x.add(std::max(partition.line[0].x(), partition.line[1].x()), partition.name, least_gap_x_m);
  }
  for (const OutlineCorner& corner : shape.outline)
    x.add(corner.point.x(), "the corner at the foot of " + corner.surface, far_corner_m);
  x.into(result.x, result.x_name);

  z.add(bottom, "the floor", least_gap_z_m);
  z.add(top, "the roof", least_gap_z_m);
  if (shape.sides.size() > 2) z.add(shape.sides[1].z, "the sill of the side glass", least_gap_z_m);
  if (!heads.empty()) z.add(heads.front().z(), "the driver's head", least_gap_z_m);
  for (const SideCorner& side : shape.sides) z.add(side.z, "the foot of " + side.surface, least_gap_z_m);
  z.into(result.z, result.z_name);

  for (const SideCorner& side : shape.sides) {
    result.side_z.push_back(side.z);
    result.half_width.push_back(side.half_width);
  }
  constexpr double off_centre_m = 0.05;
  for (const Vector3& head : heads)
    if (result.head_y == 0 && std::abs(head.y()) > off_centre_m) result.head_y = std::abs(head.y());
  return result;
}

CabinWarp::CabinWarp(const FreePlanes& planes, const Eigen::VectorXd& stretch) : planes_(planes) {
  Eigen::Index next = 0;
  const auto stretched = [&](const std::vector<double>& from) {
    std::vector<double> to{from.front()};
    for (std::size_t i = 1; i < from.size(); ++i)
      to.push_back(to.back() + (from[i] - from[i - 1]) * std::exp(stretch[next++]));
    // The origin stays: tape measurements start there.
    const double shift = along(from, to, 0);
    for (double& value : to) value -= shift;
    return to;
  };
  new_x_ = stretched(planes.x);
  new_z_ = stretched(planes.z);
  for (double width : planes.half_width) new_half_width_.push_back(width * std::exp(stretch[next++]));
  new_head_y_ = planes.head_y * std::exp(stretch[next]);
}

double CabinWarp::along(const std::vector<double>& from, const std::vector<double>& to, double value) {
  if (value <= from.front()) return value - from.front() + to.front();
  if (value >= from.back()) return value - from.back() + to.back();
  const auto above = std::upper_bound(from.begin(), from.end(), value) - from.begin();
  const auto i = static_cast<std::size_t>(above);
  const double part = (value - from[i - 1]) / (from[i] - from[i - 1]);
  return to[i - 1] + part * (to[i] - to[i - 1]);
}

double CabinWarp::old_half_width(double old_z) const {
  const double z_here = std::clamp(old_z, planes_.side_z.front(), planes_.side_z.back());
  return along(planes_.side_z, planes_.half_width, z_here);
}

double CabinWarp::new_half_width(double old_z) const {
  const double z_here = std::clamp(old_z, planes_.side_z.front(), planes_.side_z.back());
  return along(planes_.side_z, new_half_width_, z_here);
}

double CabinWarp::y(double old_y, double old_z) const {
  const double size = std::abs(old_y), old_wall = old_half_width(old_z), new_wall = new_half_width(old_z);
  double result = 0;
  if (size >= old_wall) {
    result = size - old_wall + new_wall;
  } else if (planes_.head_y <= 0 || planes_.head_y > 0.9 * old_wall) {
    result = size * new_wall / old_wall;
  } else {
    result =
        along({0, planes_.head_y, old_wall}, {0, std::min(new_head_y_, 0.95 * new_wall), new_wall}, size);
  }
  return old_y < 0 ? -result : result;
}

Vector3 CabinWarp::operator()(const Vector3& point) const {
  return {x(point.x()), y(point.y(), point.z()), z(point.z())};
}

CabinWarp unmoved(const FreePlanes& planes) {
  return {planes, Eigen::VectorXd::Zero(static_cast<Eigen::Index>(planes.degrees_of_freedom()))};
}

}  // namespace cabinfield
