// Maps of the wave field's pressure over the cabin.
#pragma once

#include <vector>

#include "field/wave/wave_field.h"
#include "predict/results.h"
#include "scene/scene.h"

namespace cabinfield {

/// Distance of the points on the horizontal plane at ear height, m.
inline constexpr double map_step_m = 0.04;

inline constexpr std::size_t most_map_frequencies = 12;

/// The points of a map and the reduced basis at them.
struct MapPoints {
  FieldMaps maps;     ///< surface, point_m, triangle, triangle_surface
  BasisMatrix basis;  ///< [Q, basis vectors]
};

/// Every corner and edge midpoint of the mesh's surface (each second-order triangle as four flat ones, exact
/// at the points), both sides of every partition, and a lattice in the air at the mean height of the ears.
MapPoints map_points(const Scene& scene, const WaveField& field);

/// Pressure at the map's points per unit volume velocity of each driver, with its grille and the rear
/// radiation of a driver without a box, Pa s/m3. [Q, D]
Eigen::MatrixXcd map_transfer(const Scene& scene, const WaveField& field, const MapPoints& points,
                              double frequency_hz);

}  // namespace cabinfield
