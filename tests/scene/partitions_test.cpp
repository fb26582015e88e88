// Partitions, leaks and the keys of the wave field, from text to scene.
#include <gtest/gtest.h>

#include "scene/scene_text.h"

namespace cabinfield::test {
namespace {

const std::string box = "cabin:\n  box: {length: 3 m, width: 1.4 m, height: 1.2 m}\n";

TEST(Partitions, PassWhatTheySay) {
  const Scene scene = scene_of(
      box +
      "  partitions:\n"
      "    - {name: wall, line: [[1, 0], [1, 0.3]], y: [-0.7, 0.7], passes: rigid}\n"
      "    - {name: plate, line: [[2, 0], [2, 1.2]], y: [-0.8, 0.8], passes: {panel: {surface_density: 8 "
      "kg/m2, resonance: 45 Hz, loss_factor: 0.2}}}\n"
      "    - {name: mat, line: [[2.1, 0.6], [2.9, 0.6]], y: [-0.7, 0.7], passes: {filling: glass_wool, "
      "thickness: 40 mm, panel: {surface_density: 1 kg/m2, resonance: 20 Hz}}}\n");
  ASSERT_EQ(scene.transfer_impedances.size(), 3u);
  ASSERT_EQ(scene.cabin->shape().partitions.size(), 3u);
  EXPECT_TRUE(scene.transfer_impedances[0].rigid());
  EXPECT_EQ(scene.cabin->shape().partitions[0].material, 0);
  ASSERT_TRUE(scene.transfer_impedances[1].panel);
  EXPECT_DOUBLE_EQ(scene.transfer_impedances[1].panel->surface_density_kg_m2, 8);
  EXPECT_FALSE(scene.transfer_impedances[1].porous);
  ASSERT_TRUE(scene.transfer_impedances[2].porous);
  EXPECT_TRUE(scene.transfer_impedances[2].panel);
  EXPECT_DOUBLE_EQ(scene.transfer_impedances[2].porous->thickness_m, 0.04);
  EXPECT_EQ(scene.transfer_impedances[2].porous->filling.name, "glass_wool");
  // Rays meet what the sheet does with air behind it.
  const int material = scene.cabin->shape().partitions[1].material;
  ASSERT_TRUE(scene.materials.at(static_cast<std::size_t>(material)).sheet);
  EXPECT_EQ(scene.materials[static_cast<std::size_t>(material)].name, "plate");
}

TEST(Partitions, OpeningsAreMovedIntoThePlaneAndSaid) {
  const Scene scene =
      scene_of(box +
               "  partitions:\n"
               "    - name: plate\n"
               "      line: [[2, 0], [2, 1.2]]\n"
               "      y: [-0.8, 0.8]\n"
               "      passes: rigid\n"
               "      openings: [{name: hatch, centre: [2.012, 0.1, 0.5], width: 200 mm, height: 300 mm}]\n");
  ASSERT_TRUE(scene.cabin);
  const PartitionOpening& opening = scene.cabin->shape().partitions[0].openings[0];
  EXPECT_EQ(opening.centre, Vector3(2, 0.1, 0.5));
  EXPECT_TRUE(opening.open);
  EXPECT_DOUBLE_EQ(opening.width_m, 0.2);
  EXPECT_DOUBLE_EQ(opening.height_m, 0.3);
  ASSERT_EQ(scene.notes.size(), 1u);
  EXPECT_EQ(scene.notes[0], "opening hatch moved 12 mm into the plane of plate, to (2.000, 0.100, 0.500) m");
}

TEST(Partitions, MirrorWithTheirOpenings) {
  const Scene scene = scene_of(
      box +
      "  partitions:\n"
      "    - name: plate_left\n"
      "      line: [[2, 0], [2, 1.2]]\n"
      "      y: [-0.7, -0.1]\n"
      "      passes: rigid\n"
      "      openings: [{name: hatch_left, centre: [2, -0.4, 0.5], width: 200 mm, height: 300 mm, state: "
      "closed}]\n"
      "    - {name: plate_right, mirror_of: plate_left}\n");
  ASSERT_TRUE(scene.cabin);
  const Partition& right = scene.cabin->shape().partitions[1];
  EXPECT_EQ(right.range, (std::array{0.1, 0.7}));
  ASSERT_EQ(right.openings.size(), 1u);
  EXPECT_EQ(right.openings[0].name, "hatch_right");
  EXPECT_EQ(right.openings[0].centre, Vector3(2, 0.4, 0.5));
  EXPECT_FALSE(right.openings[0].open);
}

TEST(Partitions, CarryDriversOnEitherFace) {
  const Scene scene =
      scene_of(box +
               "  partitions: [{name: plate, line: [[2, 0], [2, 1.2]], y: [-0.8, 0.8], passes: rigid}]\n"
               "drivers:\n"
               "  one: {model: midbass_165, position: [2, 0.2, 0.5], surface: plate.front}\n"
               "  two: {model: midbass_165, position: [2, -0.2, 0.5], surface: plate.rear}\n");
  EXPECT_EQ(scene.drivers[0].source.axis, Vector3(-1, 0, 0));
  EXPECT_EQ(scene.drivers[1].source.axis, Vector3(1, 0, 0));
  EXPECT_NEAR(scene.drivers[0].source.position.x(), 1.998, 1e-12);
}

TEST(Leaks, HaveSurfaceAreaAndDepth) {
  const Scene scene = scene_of(
      "cabin:\n"
      "  profile: [{x: 0, z: 0, surface: front}, {x: 0, z: 1, surface: roof}, {x: 2, z: 1, surface: rear}, "
      "{x: 2, z: 0, surface: floor}]\n"
      "  sides: [{z: 0, y: 0.7, surface: door}, {z: 1, y: 0.7}]\n"
      "  leaks:\n"
      "    - {surface: door_left, area: 120 cm2}\n"
      "    - {mirror_of: door_left}\n"
      "    - {name: gap_left, surface: door_left, area: 3 cm2, depth: 15 mm}\n"
      "    - {mirror_of: gap_left, area: 4 cm2}\n");
  ASSERT_EQ(scene.leaks.size(), 4u);
  const auto surface = [&](std::size_t leak) {
    return scene.cabin->surfaces()[static_cast<std::size_t>(scene.leaks[leak].surface)];
  };
  EXPECT_EQ(surface(0), "door_left");
  EXPECT_DOUBLE_EQ(scene.leaks[0].leak.area_m2, 0.012);
  EXPECT_DOUBLE_EQ(scene.leaks[0].leak.depth_m, 0.020) << "as the key reference says";
  EXPECT_EQ(surface(1), "door_right");
  EXPECT_EQ(scene.leaks[3].name, "gap_right");
  EXPECT_EQ(surface(3), "door_right");
  EXPECT_DOUBLE_EQ(scene.leaks[3].leak.area_m2, 4e-4);
  EXPECT_DOUBLE_EQ(scene.leaks[3].leak.depth_m, 0.015);
}

TEST(FieldOfAScene, IsJoinedWhereThereIsACabinUnlessSaid) {
  EXPECT_EQ(scene_of(box).computation.field, FieldKind::joined);
  EXPECT_EQ(scene_of("").computation.field, FieldKind::images);
  EXPECT_DOUBLE_EQ(scene_of(box).computation.wave_top_hz, 400);
  const Scene scene = scene_of(box + "compute: {field: wave, wave_top: 250 Hz}\n");
  EXPECT_EQ(scene.computation.field, FieldKind::wave);
  EXPECT_DOUBLE_EQ(scene.computation.wave_top_hz, 250);
  EXPECT_EQ(scene_of(box + "compute: {field: images}\n").computation.field, FieldKind::images);
}

}  // namespace
}  // namespace cabinfield::test
