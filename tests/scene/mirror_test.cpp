// What mirror_of makes of seats, blocks, patches and drivers: y changes sign, left and right change places in
// names, a key of its own wins.
#include <gtest/gtest.h>

#include "scene/mirrored.h"
#include "scene/scene_text.h"

namespace cabinfield::test {
namespace {

const std::string box = "cabin:\n  box: {length: 3 m, width: 1.4 m, height: 1.2 m}\n";

TEST(Mirrored, NamesSwapTheWordsLeftAndRightAlone) {
  EXPECT_EQ(mirrored_name("door_left"), "door_right");
  EXPECT_EQ(mirrored_name("dash.right"), "dash.left");
  EXPECT_EQ(mirrored_name("left-kick_right.left"), "right-kick_left.right");
  EXPECT_EQ(mirrored_name("leftover_bright"), "leftover_bright");
  EXPECT_EQ(mirrored_name("roof"), "roof");
  EXPECT_EQ(mirrored_name(""), "");
}

TEST(Mirrored, SeatsByHeadAndByReference) {
  const Scene scene = scene_of(
      "seats:\n"
      "  rear_right: {mirror_of: rear_left}\n"  // named before it stands
      "  driver: {head: [1.2, -0.4, 1]}\n"
      "  passenger: {mirror_of: driver}\n"
      "  rear_left: {reference: [2, -0.35, 0.3]}\n"
      "  tall: {mirror_of: rear_left, head: [2.1, 0.3, 1.1]}\n");
  EXPECT_EQ(named(scene.seats, "passenger").head, Vector3(1.2, 0.4, 1));
  EXPECT_EQ(named(scene.seats, "rear_right").head, Vector3(2, 0.35, 1));
  EXPECT_EQ(named(scene.seats, "tall").head, Vector3(2.1, 0.3, 1.1));
  // Both listeners face forward: the left ear is on the left of either.
  EXPECT_LT(named(scene.seats, "passenger").ear[0].y(), named(scene.seats, "passenger").ear[1].y());
  EXPECT_EQ(scene.seats[0].name, "rear_right") << "seats keep the order of the file";
}

TEST(Mirrored, SeatsWithAPlaceOfTheirOwnKeepTheRest) {
  const Scene scene = scene_of(
      "seats:\n"
      "  rear_left: {head: [2, -0.35, 1], head_shape: sphere}\n"
      "  rear_right: {mirror_of: rear_left, head: [2.1, 0.3, 1.1]}\n"
      "  low: {mirror_of: rear_left, reference: [2, 0.35, 0.3]}\n"
      "  bare: {mirror_of: rear_left, head: [2.1, 0.1, 1.1], head_shape: none}\n");
  EXPECT_EQ(named(scene.seats, "rear_right").head, Vector3(2.1, 0.3, 1.1));
  EXPECT_TRUE(named(scene.seats, "rear_right").sphere);
  EXPECT_EQ(named(scene.seats, "low").head, Vector3(2, 0.35, 1));
  EXPECT_TRUE(named(scene.seats, "low").sphere);
  EXPECT_FALSE(named(scene.seats, "bare").sphere);
}

TEST(Mirrored, BlocksOfBothKindsWithTheirFaces) {
  const Scene scene = scene_of(
      box +
      "  materials: {all: rigid}\n"
      "  blocks:\n"
      "    - {name: back_left, profile: [{x: 1, z: 0, face: lap_left}, [1.2, 0], [1.2, 0.9]], y: [-0.6, "
      "-0.2]}\n"
      "    - {name: back_right, mirror_of: back_left}\n"
      "    - {name: kick_left, plan: [[0, -0.7], {x: 0.4, y: -0.7, face: baffle}, [0, -0.5]], z: [0, 0.3]}\n"
      "    - {name: kick_right, mirror_of: kick_left}\n"
      "    - {name: low_right, mirror_of: kick_left, z: [0, 0.1]}\n");
  ASSERT_TRUE(scene.cabin);
  const Cabin& cabin = *scene.cabin;
  const auto& blocks = cabin.shape().blocks;
  EXPECT_EQ(blocks[1].range, (std::array{0.2, 0.6}));
  EXPECT_EQ(blocks[1].corner[2].point, Vector2(1.2, 0.9));
  EXPECT_GE(cabin.surface_index("back_right.lap_right"), 0);
  EXPECT_LT(cabin.surface_index("back_right.lap_left"), 0);
  EXPECT_GE(cabin.surface_index("kick_right.baffle"), 0);
  EXPECT_EQ(blocks[3].range, (std::array{0.0, 0.3}));
  EXPECT_EQ(blocks[4].range, (std::array{0.0, 0.1}));
  // The air is the same on both sides, wherever one asks.
  for (double x : {0.05, 0.2, 0.35, 1.05, 1.15})
    for (double y : {0.05, 0.3, 0.55, 0.65})
      for (double z : {0.05, 0.2, 0.5})
        if (z > 0.1 || x > 0.4) {
          EXPECT_EQ(cabin.in_air({x, y, z}), cabin.in_air({x, -y, z})) << x << " " << y << " " << z;
        }
}

TEST(Mirrored, PatchesTakeTheOtherSideAndItsName) {
  const Scene scene = scene_of(
      "cabin:\n"
      "  profile: [{x: 0, z: 0, surface: front}, {x: 0, z: 1, surface: roof}, {x: 2, z: 1, surface: rear}, "
      "{x: 2, z: 0, surface: floor}]\n"
      "  sides: [{z: 0, y: 0.7, surface: door}, {z: 1, y: 0.7}]\n"
      "  patches:\n"
      "    - {surface: door_left, x: [1, 2], name: rear_door_left, material: carpet}\n"
      "    - {mirror_of: rear_door_left}\n"
      "    - {surface: roof, y: [-0.7, -0.1], name: lining_left, material: headliner}\n"
      "    - {mirror_of: lining_left, material: glass}\n");
  ASSERT_TRUE(scene.cabin);
  const Cabin& cabin = *scene.cabin;
  const Landing left = cabin.land({1.5, -0.7, 0.5}, "rear_door_left"),
                right = cabin.land({1.5, 0.7, 0.5}, "rear_door_right");
  EXPECT_LT(left.distance_m, 1e-12);
  EXPECT_LT(right.distance_m, 1e-12);
  EXPECT_EQ(
      scene.materials[static_cast<std::size_t>(cabin.faces()[static_cast<std::size_t>(right.face)].material)]
          .name,
      "carpet");
  const Landing lining = cabin.land({1, 0.4, 1}, "lining_right");
  EXPECT_LT(lining.distance_m, 1e-12);
  EXPECT_EQ(
      scene.materials[static_cast<std::size_t>(cabin.faces()[static_cast<std::size_t>(lining.face)].material)]
          .name,
      "glass");
}

const std::string seats = "seats:\n  driver: {head: [1.5, -0.4, 1]}\n  passenger: {mirror_of: driver}\n";

TEST(Mirrored, DriversWithSurfaceAimAndWhatStandsBeside) {
  const Scene scene = scene_of(
      box + seats +
      "drivers:\n"
      "  right: {mirror_of: left}\n"
      "  left:\n"
      "    model: midbass_165\n"
      "    position: [0.6, -0.68, 0.3]\n"
      "    surface: left\n"
      "    aim: {seat: driver}\n"
      "    setback: 20 mm\n"
      "    grille: {open_area: 40 %}\n"
      "    loading: {door: {volume: 30 L, leak: 10 cm2}}\n"
      "    opening: {cutout: 150 mm, depth: 90 mm}\n"
      "  shallow_right: {mirror_of: left, setback: 5 mm, position: [1.4, 0.7, 0.3], aim: {seat: driver}}\n"
      "  up_left: {model: tweeter_25, position: [0.5, -0.6, 0.8], aim: {point: [1, 0.2, 1]}}\n"
      "  up_right: {mirror_of: up_left}\n"
      "  out_left: {model: tweeter_25, position: [0.5, -0.3, 0.8], aim: {direction: [1, -1, 0]}, loading: "
      "{rear_into: [0.4, -0.3, 0.7]}}\n"
      "  out_right: {mirror_of: out_left}\n");
  const MountedDriver &left = named(scene.drivers, "left"), &right = named(scene.drivers, "right");
  const Vector3 turned(1, -1, 1);
  EXPECT_LT((right.source.position - left.source.position.cwiseProduct(turned)).norm(), 1e-12);
  EXPECT_LT((right.source.axis - left.source.axis.cwiseProduct(turned)).norm(), 1e-12)
      << "at the passenger, as left is at the driver";
  EXPECT_LT((right.source.axis - (Vector3(1.5, 0.4, 1) - right.source.position).normalized()).norm(), 1e-12);
  EXPECT_EQ(right.source.setback_m, 0.02);
  EXPECT_EQ(right.grille_open_area, 0.4);
  EXPECT_EQ(right.opening_depth_m, left.opening_depth_m);
  ASSERT_TRUE(std::holds_alternative<DoorCavity>(right.loading));
  EXPECT_EQ(right.pair, "left");
  EXPECT_EQ(left.pair, "right");
  const MountedDriver& shallow = named(scene.drivers, "shallow_right");
  EXPECT_EQ(shallow.source.setback_m, 0.005);
  EXPECT_LT((shallow.source.position - Vector3(1.4, 0.7, 0.3)).norm(), 1e-12);
  EXPECT_LT((shallow.source.axis - (Vector3(1.5, -0.4, 1) - shallow.source.position).normalized()).norm(),
            1e-12);
  const auto &up = named(scene.drivers, "up_right").source, &out = named(scene.drivers, "out_right").source;
  EXPECT_LT((up.axis - (Vector3(1, -0.2, 1) - Vector3(0.5, 0.6, 0.8)).normalized()).norm(), 1e-12);
  EXPECT_LT((out.axis - Vector3(1, 1, 0).normalized()).norm(), 1e-12);
  EXPECT_EQ(named(scene.drivers, "out_right").rear, Vector3(0.4, 0.3, 0.7));
}

TEST(Mirrored, ASeatOnTheMiddleIsItsOwnMirror) {
  const Scene scene = scene_of(
      "seats: {middle: {head: [2, 0, 1]}}\n"
      "drivers:\n"
      "  left: {model: tweeter_25, position: [0.5, -0.6, 0.8], aim: {seat: middle}}\n"
      "  right: {mirror_of: left}\n");
  EXPECT_LT((named(scene.drivers, "right").source.axis - Vector3(1.5, -0.6, 0.2).normalized()).norm(), 1e-12);
}

TEST(Mirrored, AnAimWithoutAMirroredSeatIsOneFault) {
  const std::string text =
      "seats: {driver: {head: [2, -0.4, 1]}}\n"
      "drivers:\n"
      "  left: {model: tweeter_25, position: [0.5, -0.6, 0.8], aim: {seat: driver}}\n"
      "  right: {mirror_of: left}\n";
  EXPECT_EQ(
      faults_of(text),
      "f.yaml:5:22: driver 'right': 'left' aims at a seat, but there is no seat at the mirrored position: "
      "give this driver its own aim\n");
  EXPECT_EQ(faults_of(text + "  own: {mirror_of: left, aim: {seat: driver}}\n").find("'own'"),
            std::string::npos);
}

}  // namespace
}  // namespace cabinfield::test
