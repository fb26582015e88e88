// Pressure maps: the same numbers as the responses, and the pressure of a closed vessel at low frequency.
#include "predict/field_maps.h"

#include <gtest/gtest.h>
#include <omp.h>

#include <algorithm>
#include <map>
#include <string>

#include "base/constants.h"
#include "predict/field_solution.h"
#include "predict/prediction.h"
#include "scene/scene_text.h"

namespace cabinfield::test {
namespace {

const char* const drivers_and_channels =
    "drivers:\n"
    "  near: {model: midbass_165, position: [0.3, -0.7, 0.4], surface: left, setback: 30 mm, loading: "
    "{sealed: 20 L}}\n"
    "  far: {model: midbass_165, position: [1.6, 0.7, 0.3], surface: right, grille: {open_area: 30 %}, "
    "loading: {rear_into: [1.3, 0.3, 0.7]}}\n"
    "channels:\n"
    "  both: {drives: [near, far], signal: mono, gain: -3 dB, delay: 1.3 ms, lowpass: {family: butterworth, "
    "order: 2, frequency: 100 Hz}}\n";

Scene box_scene(const std::string& materials, const std::string& frequencies) {
  return scene_of(std::string("cabin:\n  box: {length: 2 m, width: 1.4 m, height: 1.1 m}\n  materials: {") +
                  materials +
                  "}\n  blocks:\n    - {name: bench, profile: [[1.2, 0], [1.7, 0], [1.7, 0.4], [1.2, " +
                  "0.4]], y: [-0.5, 0.5]}\nseats: {driver: {head: [1, -0.3, 0.8]}}\n" + drivers_and_channels +
                  "compute: {field: wave, wave_top: 120 Hz, frequencies: {list: [" + frequencies + "]}}\n");
}

double level_difference(Complex a, Complex b) { return std::abs(a - b) / std::abs(b); }

// The reciprocal solution from the ears and the direct solution from the drivers, which the map shows, are
// solutions of one symmetric system: equal to rounding.
TEST(FieldMaps, ContainTheResponseAtTheEars) {
  const Scene scene = box_scene("all: glass, floor: carpet", "40 Hz, 90 Hz");
  const FieldSolution fields = solve_fields(scene, {});
  const WaveField& field = *fields.wave_fields.front();
  MapPoints ears;
  std::vector<PointValue> points;
  for (const Vector3& ear : scene.seats.front().ear) points.push_back(field.solved().space->at(ear));
  ears.basis = field.basis_at(points);
  for (std::size_t f = 0; f < 2; ++f) {
    const auto transfer = map_transfer(scene, field, ears, scene.computation.frequency_hz[f]);
    for (std::size_t d = 0; d < 2; ++d)
      for (std::size_t n = 0; n < 2; ++n)
        EXPECT_LT(level_difference(transfer(n, d), fields.transfer_pa_s_m3.front()(d, n, f)), 1e-9);
  }
}

TEST(FieldMaps, OfAChannelAreThoseOfItsDriversFilteredAndDelayed) {
  const Scene scene = box_scene("all: glass, floor: carpet", "40 Hz, 90 Hz");
  const Results results = predict(scene, {{}, {40, 90}});
  ASSERT_GT(results.maps.point_m.size(), 500u);
  // The channel's effect is taken from the responses at an ear, where it is known.
  for (std::size_t f = 0; f < 2; ++f) {
    Complex unfiltered = 0;
    for (std::size_t d = 0; d < 2; ++d)
      unfiltered += 2.83 * results.volume_velocity_m3_s(d, f) * results.transfer_pa_s_m3(d, 0, 0, f);
    const Complex filter = results.channel_pa(0, 0, 0, 0, f) / unfiltered;
    for (std::size_t p = 0; p < results.maps.point_m.size(); p += 7)
      EXPECT_LT(
          level_difference(results.maps.channel_pa(0, f, p),
                           filter * (results.maps.driver_pa(0, f, p) + results.maps.driver_pa(1, f, p))),
          1e-9);
  }
}

// p = rho c^2 Q/(j omega V), everywhere alike: the compliance of an air volume (Beranek, Acoustics, ch. 5).
TEST(FieldMaps, AreUniformWellBelowTheFirstMode) {
  const Scene scene = box_scene("all: rigid", "3 Hz, 40 Hz");
  const Results results = predict(scene, {{}, {3}});
  const double volume_m3 = 2 * 1.4 * 1.1 - 0.5 * 0.4 * 1.0;
  const double stiffness = scene.air.density_kg_m3 * scene.air.sound_speed_m_s * scene.air.sound_speed_m_s;
  const Complex vessel =
      2.83 * results.volume_velocity_m3_s(0, 0) * stiffness / (Complex(0, 2 * pi * 3) * volume_m3);
  for (std::size_t p = 0; p < results.maps.point_m.size(); ++p) {
    // Near the driver its near field is added.
    if ((results.maps.point_m[p] - scene.drivers[0].source.position).norm() < 0.3) continue;
    ASSERT_LT(level_difference(results.maps.driver_pa(0, 0, p), vessel), 0.01);
  }
}

TEST(FieldMaps, LieInTheAirAndOnItsSurfaces) {
  const Scene scene = box_scene("all: rigid", "40 Hz");
  const FieldMaps maps = predict(scene, {{}, {40}}).maps;
  ASSERT_EQ(maps.surface.back(), "ear height");
  double level_m2 = 0, floor_m2 = 0;
  for (std::size_t t = 0; t < maps.triangle.size(); ++t) {
    const auto [a, b, c] = maps.triangle[t];
    const double area_m2 =
        0.5 * (maps.point_m[b] - maps.point_m[a]).cross(maps.point_m[c] - maps.point_m[a]).norm();
    const std::string& surface = maps.surface[maps.triangle_surface[t]];
    if (surface == "floor") floor_m2 += area_m2;
    if (surface != "ear height") continue;
    level_m2 += area_m2;
    for (int corner : maps.triangle[t]) {
      EXPECT_NEAR(maps.point_m[corner].z(), 0.8, 1e-9);
      EXPECT_TRUE(scene.cabin->in_air(maps.point_m[corner]));
    }
  }
  EXPECT_NEAR(floor_m2, 2 * 1.4 - 0.5, 1e-6);
  EXPECT_NEAR(level_m2, 2 * 1.4, 2 * (2 + 1.4) * map_step_m);
}

/// A board at ear height, thinner than the lattice is wide, and a partition behind it.
Scene board_and_sheet() {
  return scene_of(
      std::string(
          "cabin:\n  box: {length: 2 m, width: 1.4 m, height: 1.1 m}\n  materials: {all: glass}\n"
          "  blocks:\n    - {name: board, profile: [[0.61, 0.5], [0.62, 0.5], [0.62, 1], [0.61, 1]], y: "
          "[-0.4, 0.4]}\n"
          "  partitions:\n    - {name: sheet, line: [[1.5, 0], [1.5, 1.1]], y: [-0.7, 0.7], passes: {panel: "
          "{surface_density: 40 kg/m2, resonance: 10 Hz, loss_factor: 0.2}}}\n"
          "seats: {driver: {head: [1, -0.3, 0.8]}}\n") +
      drivers_and_channels + "compute: {field: wave, wave_top: 120 Hz, frequencies: {list: [30 Hz]}}\n");
}

TEST(FieldMaps, AtEarHeightCrossNoBoardAndNoPartition) {
  const FieldMaps maps = predict(board_and_sheet(), {{}, {30}}).maps;
  int beside = 0;
  for (std::size_t t = 0; t < maps.triangle.size(); ++t) {
    if (maps.surface[maps.triangle_surface[t]] != "ear height") continue;
    double low = 1e9, high = -1e9;
    bool by_the_board = true;
    for (int corner : maps.triangle[t]) {
      low = std::min(low, maps.point_m[corner].x());
      high = std::max(high, maps.point_m[corner].x());
      by_the_board = by_the_board && std::abs(maps.point_m[corner].y()) < 0.4;
    }
    EXPECT_FALSE(by_the_board && low < 0.61 && high > 0.62);
    EXPECT_FALSE(low < 1.5 && high > 1.5);
    beside += low < 0.61 && high > 0.62;
  }
  EXPECT_GT(beside, 10) << "the level goes on past the ends of the board";
}

TEST(FieldMaps, SeparateTheSidesOfAPartitionAndFaceTheAir) {
  const Scene scene = board_and_sheet();
  const FieldMaps maps = predict(scene, {{}, {30}}).maps;
  std::map<std::string, double> area_m2, mean_pa;
  for (std::size_t t = 0; t < maps.triangle.size(); ++t) {
    const auto [a, b, c] = maps.triangle[t];
    const Vector3 normal = 0.5 * (maps.point_m[b] - maps.point_m[a]).cross(maps.point_m[c] - maps.point_m[a]);
    const std::string& surface = maps.surface[maps.triangle_surface[t]];
    area_m2[surface] += normal.norm();
    mean_pa[surface] += normal.norm() * std::abs(maps.driver_pa(0, 0, a));
    const auto facing = [&](const Vector3& way) {
      EXPECT_GT(normal.normalized().dot(way), 0.999) << surface;
    };
    if (surface == "sheet.front" || surface == "rear" || surface == "board.front") facing(-Vector3::UnitX());
    if (surface == "sheet.rear" || surface == "front") facing(Vector3::UnitX());
    if (surface == "floor") facing(Vector3::UnitZ());
    if (surface == "roof") facing(-Vector3::UnitZ());
  }
  EXPECT_NEAR(area_m2["sheet.front"], 1.4 * 1.1, 1e-6);
  EXPECT_NEAR(area_m2["sheet.rear"], 1.4 * 1.1, 1e-6);
  // The driver is before the sheet, whose mass (40 kg/m2 at 30 Hz: 7.5 kPa s/m) is five times as stiff as the
  // air behind it, rho c^2/(omega L) with L = 0.5 m.
  EXPECT_GT(mean_pa["sheet.front"], 3 * mean_pa["sheet.rear"]);
}

TEST(FieldMaps, AreTheSameBitsForAnyNumberOfThreads) {
  const Scene scene = box_scene("all: glass", "40 Hz");
  const int before = omp_get_max_threads();
  omp_set_num_threads(1);
  const FieldMaps one = predict(scene, {{}, {40, 77}}).maps;
  omp_set_num_threads(2);
  const FieldMaps two = predict(scene, {{}, {40, 77}}).maps;
  omp_set_num_threads(before);
  EXPECT_EQ(one.channel_pa.values(), two.channel_pa.values());
}

}  // namespace
}  // namespace cabinfield::test
