// Where the sound is: points all over the cabin at which the wave field's pressure is told.
#pragma once

#include <vector>

#include "field/wave/wave_field.h"
#include "predict/results.h"
#include "scene/scene.h"

namespace cabinfield {

/// Distance of the points on the level through the ears, m.
inline constexpr double map_step_m = 0.04;

inline constexpr std::size_t most_map_frequencies = 12;

/// The points of a map, and what the columns of the wave field are there.
struct MapPlaces {
  FieldMaps maps;          ///< surface, point_m, triangle, triangle_surface
  BasisMatrix columns_at;  ///< [Q, columns]
};

/// Every corner and edge middle of the mesh's surface (each quadratic triangle as four flat ones, so that
/// nothing is lost at the points), both sides of every partition, and a lattice on the level of the mean ear
/// where there is air.
MapPlaces map_places(const Scene& scene, const WaveField& field);

/// Pressure at the map's points per unit volume velocity of each driver, with its grille and with what the
/// back of a driver without a box adds, Pa s/m3. [Q, D]
Eigen::MatrixXcd map_transfer(const Scene& scene, const WaveField& field, const MapPlaces& places,
                              double frequency_hz);

}  // namespace cabinfield
