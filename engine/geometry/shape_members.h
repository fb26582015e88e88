// Every member of a cabin's shape, visited in one fixed order with its role: what stretches, hashes or
// compares shapes goes through here. A new member does not compile until it has its place below, since the
// bindings name them all.
//
// The visitor has
//   coordinate(GeometryRole, double&)  a position along one axis, m
//   size(double&)                      a length that does not move
//   name(std::string&)                 of a surface, a patch, a block, …
//   topology(int)                      what decides which faces there are: a count, a kind, a state
//   material(int&)                     an index; no geometry
//   derived(GeometryRole, double&)     a number that follows from the others
// where references are to const for a const shape.
#pragma once

#include "geometry/cabin_shape.h"
#include "geometry/geometry_role.h"

namespace cabinfield {
namespace shape_detail {

template <typename Point, typename Visitor>
void visit_point(GeometryRole role, Point& point, Visitor& visitor) {
  for (Eigen::Index i = 0; i < point.size(); ++i) {
    constexpr GeometryRole axes[] = {GeometryRole::x, GeometryRole::y, GeometryRole::z};
    visitor.coordinate(axes[axis_of(role, static_cast<std::size_t>(i))], point[i]);
  }
}

template <typename Range, typename Visitor>
void visit_range(GeometryRole role, Range& range, Visitor& visitor) {
  for (auto& end : range) visitor.coordinate(role, end);
}

}  // namespace shape_detail

template <typename Shape, typename Visitor>
void visit_members(Shape& shape, Visitor& visitor) {
  using Role = GeometryRole;
  using shape_detail::visit_point;
  using shape_detail::visit_range;
  auto& [outline, sides, patches, blocks, partitions, box] = shape;
  for (auto& [point, surface, material] : outline) {
    visit_point(Role::side_view_point, point, visitor);
    visitor.name(surface);
    visitor.material(material);
  }
  for (auto& [z, half_width, surface, material] : sides) {
    visitor.coordinate(Role::z, z);
    visitor.coordinate(Role::half_width, half_width);
    visitor.name(surface);
    visitor.material(material);
  }
  for (auto& [surface, range, name, material] : patches) {
    visitor.name(surface);
    visitor.name(name);
    constexpr Role axes[] = {Role::x, Role::y, Role::z};
    for (std::size_t axis = 0; axis < range.size(); ++axis) {
      visitor.topology(range[axis] ? 1 : 0);
      if (range[axis]) visit_range(axes[axis], *range[axis], visitor);
    }
    visitor.material(material);
  }
  for (auto& [name, sweep, corners, range, material, end_material, cut, filling, partition] : blocks) {
    const bool across = sweep == Sweep::across;
    visitor.name(name);
    visitor.topology(static_cast<int>(sweep));
    for (auto& [point, face, face_material] : corners) {
      visit_point(across ? Role::side_view_point : Role::plan_point, point, visitor);
      visitor.name(face);
      visitor.material(face_material);
    }
    visit_range(across ? Role::y : Role::z, range, visitor);
    visitor.topology(cut ? 1 : 0);
    visitor.topology(filling >= 0 ? 1 : 0);
    visitor.topology(partition);
    visitor.material(material);
    for (auto& end : end_material) visitor.material(end);
  }
  for (auto& [name, line, range, material, openings] : partitions) {
    visitor.name(name);
    for (auto& end : line) visit_point(Role::side_view_point, end, visitor);
    visit_range(Role::y, range, visitor);
    for (auto& [opening, centre, width_m, height_m, open] : openings) {
      // An opening is in no face of its own: its name decides nothing.
      (void)opening;
      visit_point(Role::point, centre, visitor);
      visitor.size(width_m);
      visitor.size(height_m);
      visitor.topology(open ? 1 : 0);
    }
    visitor.material(material);
  }
  if (box) {
    constexpr Role axes[] = {Role::x, Role::y, Role::z};
    for (Eigen::Index i = 0; i < 3; ++i) visitor.derived(axes[i], (*box)[i]);
  }
}

}  // namespace cabinfield
