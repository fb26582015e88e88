// Where each driver stands for a listener, and when its sound comes.
#pragma once

#include <array>
#include <span>
#include <vector>

#include "base/table.h"
#include "base/vector.h"
#include "field/field.h"
#include "geometry/diffraction_path.h"

namespace cabinfield {

/// Direct sound of D sources at N points.
struct DirectPaths {
  Table<double, 2>
      length_m;  ///< [N,D] shortest way round obstacles, and setback; the straight line where there is no way
  Table<int, 2> free;     ///< [N,D] 1 where the straight line runs through air alone; without a cabin always
  Table<int, 2> reached;  ///< [N,D] 1 where there is a way at all
};
/// `ways` of the cabin, or null for a scene without one.
DirectPaths direct_paths(const DiffractionPath* ways, const std::vector<Source>& sources,
                         const std::vector<Vector3>& points);

/// Angles in degrees: to the side as a listener who faces forward sees it (right positive), above the eye
/// line, and of the listener off the driver's axis.
std::array<double, 3> angles_deg(const Source& source, const Vector3& head);

/// Delay of each channel that lines its first sound up with the latest of all, s: first_s[c] is when it
/// comes; channels with use[c] = 0, or whose sound never comes (NaN), are left alone and get 0.
std::vector<double> delays_to_latest_s(std::span<const double> first_s, std::span<const int> use);

/// The same from the arrivals of drivers: arrival_s[d] is that of
/// each driver at the seat; drivers[c] are those of each channel; channels with use[c] = 0 are left alone and
/// get 0.
std::vector<double> aligning_delays_s(const std::vector<double>& arrival_s,
                                      const std::vector<std::vector<int>>& drivers,
                                      const std::vector<int>& use);

/// Of each channel, what its nearest driver has at each seat, mean of the seat's two ears: [C,S] of lengths
/// or arrivals of drivers [E,D], ears 2s and 2s + 1 being those of seat s. NaN for a channel without drivers,
/// and drivers with NaN are passed over.
void nearest_of_channels(const Table<double, 2>& of_drivers, const std::vector<std::vector<int>>& drivers,
                         std::span<double> of_channels);

/// Woodworth's interaural time difference of a far source at an angle to the side, s: a (theta + sin theta)/c
/// up to 90 degrees.
double woodworth_itd_s(double side_angle_rad, double radius_m, double sound_speed_m_s);

}  // namespace cabinfield
