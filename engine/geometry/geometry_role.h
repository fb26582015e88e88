// What a number or a list of numbers means in the car. Declared once with each value: what moves, mirrors,
// stretches, fits or hashes geometry goes by the role and needs no list of keys of its own.
//
//   role              numbers        mirrored   shifted with its entry   fitted to tapes
//   x, y, z           one, or a range    y changes sign   yes            yes
//   half_width        one                no        no                    as y
//   point             [x, y, z]          yes       yes                   yes
//   mounting_point    [x, y, z]          yes       yes                   with the box whose surface it is on
//   remote_point      [x, y, z]          yes       no                    yes
//   side_view_point   [x, z]             no        yes                   yes
//   plan_point        [x, y]             yes       yes                   yes
//   direction         [x, y, z]          yes       no                    no
//   extent            [length, width, height]   no   no     stretched about the point beside it
//   size              any                no        no                    no
//   sided_name        text: left and right swap    no                    no
#pragma once

#include <cstddef>

namespace cabinfield {

enum class GeometryRole {
  none,        ///< not geometry
  undeclared,  ///< a length without a role; a test finds these
  x,           ///< rearward
  y,           ///< to the right, from the middle plane
  z,           ///< up
  half_width,  ///< from the middle plane to either side
  point,
  mounting_point,  ///< of a part on the surface that its entry names
  remote_point,    ///< elsewhere in the car than its entry: what a driver aims at
  side_view_point,
  plan_point,
  direction,
  extent,     ///< of a part of the car; the point beside it is the middle of its floor
  size,       ///< of a thing that keeps its size wherever it goes
  sided_name  ///< a name that may hold the words left and right
};

/// The axis (0 x, 1 y, 2 z) of the number at `index` of a value; -1 where the role has none.
constexpr int axis_of(GeometryRole role, std::size_t index) {
  switch (role) {
    case GeometryRole::x:
      return 0;
    case GeometryRole::y:
    case GeometryRole::half_width:
      return 1;
    case GeometryRole::z:
      return 2;
    case GeometryRole::point:
    case GeometryRole::mounting_point:
    case GeometryRole::remote_point:
    case GeometryRole::direction:
    case GeometryRole::extent:
      return index < 3 ? static_cast<int>(index) : -1;
    case GeometryRole::side_view_point:
      return index == 0 ? 0 : index == 1 ? 2 : -1;
    case GeometryRole::plan_point:
      return index < 2 ? static_cast<int>(index) : -1;
    case GeometryRole::none:
    case GeometryRole::undeclared:
    case GeometryRole::size:
    case GeometryRole::sided_name:
      break;
  }
  return -1;
}

/// Whether the numbers move with the entry that holds them when it is shifted.
constexpr bool is_shifted(GeometryRole role) {
  switch (role) {
    case GeometryRole::x:
    case GeometryRole::y:
    case GeometryRole::z:
    case GeometryRole::point:
    case GeometryRole::mounting_point:
    case GeometryRole::side_view_point:
    case GeometryRole::plan_point:
      return true;
    default:
      return false;
  }
}

/// Whether the numbers across the car change sign in a mirror image.
constexpr bool is_mirrored(GeometryRole role) {
  switch (role) {
    case GeometryRole::y:
    case GeometryRole::point:
    case GeometryRole::mounting_point:
    case GeometryRole::remote_point:
    case GeometryRole::plan_point:
    case GeometryRole::direction:
      return true;
    default:
      return false;
  }
}

}  // namespace cabinfield
