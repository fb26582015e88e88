// Where each driver stands for a listener, and when its sound comes.
#pragma once

#include <array>
#include <vector>

#include "base/table.h"
#include "base/vector.h"
#include "field/field.h"
#include "geometry/shortest_way.h"

namespace cabinfield {

/// Direct sound of D sources at N points.
struct DirectPaths {
  Table<double, 2>
      length_m;  ///< [N,D] shortest way round obstacles, and setback; the straight line where there is no way
  Table<int, 2> free;     ///< [N,D] 1 where the straight line runs through air alone; without a cabin always
  Table<int, 2> reached;  ///< [N,D] 1 where there is a way at all
};
/// `ways` of the cabin, or null for a scene without one.
DirectPaths direct_paths(const ShortestWay* ways, const std::vector<Source>& sources,
                         const std::vector<Vector3>& points);

/// Angles in degrees: to the side as a listener who faces forward sees it (right positive), above the eye
/// line, and of the listener off the driver's axis.
std::array<double, 3> angles_deg(const Source& source, const Vector3& head);

/// Delay of each channel that lines its first arrival up with the latest of all, s. arrival_s[d] is that of
/// each driver at the seat; drivers[c] are those of each channel; channels with use[c] = 0 are left alone and
/// get 0.
std::vector<double> aligning_delays_s(const std::vector<double>& arrival_s,
                                      const std::vector<std::vector<int>>& drivers,
                                      const std::vector<int>& use);

/// Woodworth's interaural time difference of a far source at an angle to the side, s: a (theta + sin theta)/c
/// up to 90 degrees.
double woodworth_itd_s(double side_angle_rad, double radius_m, double sound_speed_m_s);

}  // namespace cabinfield
