// Direction of each driver from a listener, and arrival time of its sound.
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
  /// [N,D] diffraction path and setback; the straight line without any path
  Table<double, 2> length_m;
  Table<int, 2> free;     ///< [N,D] 1 where the straight line is free; always without a cabin
  Table<int, 2> reached;  ///< [N,D] 1 where any path exists
};
/// `diffraction` of the cabin, or null for a scene without one.
DirectPaths direct_paths(const DiffractionPath* diffraction, const std::vector<Source>& sources,
                         const std::vector<Vector3>& points);

/// Angles in degrees: azimuth of the driver from a listener who faces forward (right positive), elevation
/// above the eye line, and angle of the listener off the driver's axis.
std::array<double, 3> angles_deg(const Source& source, const Vector3& head);

/// Delay of each channel, s, that brings its first arrival first_s[c] to the latest of all; 0 for channels
/// with use[c] = 0 or without an arrival (NaN), which do not count.
std::vector<double> delays_to_latest_s(std::span<const double> first_s, std::span<const int> use);

/// The same from arrival_s[d] of each driver at the seat; drivers[c] are the drivers of each channel.
std::vector<double> aligning_delays_s(const std::vector<double>& arrival_s,
                                      const std::vector<std::vector<int>>& drivers,
                                      const std::vector<int>& use);

/// Length or arrival of each channel's nearest driver at each seat, mean of the seat's two ears: [C,S] from
/// those of drivers [E,D], with ears 2s and 2s + 1 of seat s. Drivers with NaN are skipped; NaN for a channel
/// without drivers.
void nearest_of_channels(const Table<double, 2>& of_drivers, const std::vector<std::vector<int>>& drivers,
                         std::span<double> of_channels);

/// Woodworth's interaural time difference of a far source at a side angle, s: a (theta + sin theta)/c up to
/// 90 degrees (Woodworth, Experimental Psychology, 1938, from memory).
double woodworth_itd_s(double side_angle_rad, double radius_m, double sound_speed_m_s);

}  // namespace cabinfield
