// Other conditions of the same car: what each adds, takes away, opens and shuts.
#include <gtest/gtest.h>

#include "scene/people.h"
#include "scene/scene_text.h"

namespace cabinfield::test {
namespace {

/// A box with two seats, a plate with a hatch before the boot, a vent, and a driver on each kind of surface.
const std::string car =
    "cabin:\n"
    "  box: {length: 3.4 m, width: 1.4 m, height: 1.2 m}\n"
    "  blocks:\n"
    "    - {name: dash, profile: [[0, 0.5], [0.5, 0.5], [0.5, 0.8], [0, 0.8]], y: [-0.8, 0.8]}\n"
    "    - {name: bench_back, profile: [[2.2, 0], [2.3, 0], [2.3, 0.7], [2.2, 0.7]], y: [-0.7, 0.7]}\n"
    "  patches: [{surface: bench_back.top, y: [-0.7, 0], name: rail}, {surface: rail, y: [-0.2, 0], name: "
    "knob}]\n"
    "  partitions:\n"
    "    - name: plate\n"
    "      line: [[2.4, 0], [2.4, 1.2]]\n"
    "      y: [-0.8, 0.8]\n"
    "      passes: rigid\n"
    "      openings: [{name: hatch, centre: [2.4, 0, 0.95], width: 200 mm, height: 200 mm, state: closed}]\n"
    "  leaks: [{surface: rear, area: 100 cm2}]\n"
    "seats: {driver: {head: [1.4, -0.4, 1.0]}, passenger: {mirror_of: driver}}\n"
    "drivers:\n"
    "  door: {model: midbass_165, position: [0.8, -0.7, 0.3], surface: left}\n"
    "  plate_mid: {model: midbass_165, position: [2.4, 0.4, 0.9], surface: plate.front}\n"
    "  pod: {model: tweeter_25, position: [0.6, -0.6, 0.9]}\n"
    "channels: {all: {drives: [door, plate_mid, pod]}}\n";

std::vector<Fault> typed_faults_of(const std::string& text) {
  return read_scene_text("cabinfield: 1\n" + text, "f.yaml").faults.sorted();
}

TEST(States, AFaultOfADriverInAStateNamesTheDriverByType) {
  const std::vector<Fault> faults = typed_faults_of(car + "states: {gone: {remove_partitions: [plate]}}\n");
  ASSERT_EQ(faults.size(), 1u);
  EXPECT_EQ(faults[0].code, FaultCode::driver_surface_hidden);
  EXPECT_EQ(faults[0].subject, (FaultSubject{SubjectKind::driver, "plate_mid"}));
}

TEST(States, GeometryFaultsCarryTheirNumbers) {
  std::string moved = car;
  moved.replace(moved.find("[0.8, -0.7, 0.3]"), 16, "[0.8, -0.5, 0.3]");
  const std::vector<Fault> faults = typed_faults_of(moved);
  ASSERT_EQ(faults.size(), 1u);
  EXPECT_EQ(faults[0].code, FaultCode::driver_off_surface);
  ASSERT_EQ(faults[0].numbers.size(), 2u);
  EXPECT_EQ(faults[0].numbers[0].name, "distance");
  EXPECT_NEAR(faults[0].numbers[0].value, 0.2, 1e-12);
  EXPECT_EQ(faults[0].numbers[0].unit, "m");
}

const CabinState& state_of(const Scene& scene, const std::string& name) { return named(scene.states, name); }

TEST(States, TheFirstIsTheSceneItself) {
  const Scene scene = scene_of(car);
  ASSERT_EQ(scene.states.size(), 1u);
  EXPECT_EQ(scene.states[0].name, "as_is");
  EXPECT_EQ(scene.states[0].cabin, scene.cabin);
  EXPECT_EQ(scene.states[0].ways, scene.ways);
  EXPECT_EQ(scene.states[0].leaks.size(), 1u);
  EXPECT_EQ(scene.states[0].transfer_impedances.size(), 1u);
  for (int d : {0, 1, 2})
    EXPECT_EQ(source_in(scene, d, 0).face, scene.drivers[static_cast<std::size_t>(d)].source.face);
  EXPECT_EQ(scene_of("").states.size(), 1u) << "also without a cabin";
}

TEST(States, LeaksAloneLeaveTheCabinAsItIs) {
  const Scene scene = scene_of(car +
                               "states:\n"
                               "  windows_down: {add_leaks: [{name: window_left, surface: left, area: 0.2 "
                               "m2}, {mirror_of: window_left}]}\n"
                               "  taped: {remove_leaks: [rear]}\n"
                               "presets: {quiet: {state: taped}, loud: {state: windows_down}, plain: {state: "
                               "as_is}}\n");
  const CabinState& down = state_of(scene, "windows_down");
  EXPECT_EQ(down.cabin, scene.cabin);
  ASSERT_EQ(down.leaks.size(), 3u);
  EXPECT_EQ(down.leaks[2].name, "window_right");
  EXPECT_EQ(down.cabin->surfaces()[static_cast<std::size_t>(down.leaks[2].surface)], "right");
  EXPECT_TRUE(state_of(scene, "taped").leaks.empty());
  EXPECT_EQ(named(scene.presets, "as_drawn").state, 0);
  EXPECT_EQ(named(scene.presets, "quiet").state, 2);
  EXPECT_EQ(named(scene.presets, "loud").state, 1);
  EXPECT_EQ(named(scene.presets, "plain").state, 0);
}

TEST(States, BlocksGoWithTheirPatchesAndOthersCome) {
  const Scene scene = scene_of(
      car +
      "states:\n"
      "  folded:\n"
      "    remove_blocks: [bench_back]\n"
      "    add_blocks:\n"
      "      - {name: bench_back, profile: [[1.7, 0.1], [2.3, 0.1], [2.3, 0.2], [1.7, 0.2]], y: [-0.7, 0], "
      "filling: seat_foam}\n"
      "      - {name: other_half, mirror_of: bench_back}\n");
  const Cabin& folded = *state_of(scene, "folded").cabin;
  EXPECT_TRUE(folded.in_air({2.25, 0.3, 0.5}));
  EXPECT_FALSE(scene.cabin->in_air({2.25, 0.3, 0.5}));
  EXPECT_FALSE(folded.in_air({2.0, 0.3, 0.15}));
  EXPECT_LT(folded.surface_index("rail"), 0);
  EXPECT_LT(folded.surface_index("knob"), 0);
  // Drivers stay where they are, on the face of that name.
  for (int d : {0, 1, 2}) {
    const Source there = source_in(scene, d, 1), here = source_in(scene, d, 0);
    EXPECT_EQ(there.position, here.position);
    EXPECT_EQ(there.axis, here.axis);
    ASSERT_EQ(there.face < 0, here.face < 0);
    if (there.face < 0) continue;
    const Face& face = folded.faces()[static_cast<std::size_t>(there.face)];
    EXPECT_TRUE(folded.exposed(there.face, there.position));
    EXPECT_EQ(folded.surfaces()[static_cast<std::size_t>(face.surface)],
              scene.cabin->surfaces()[static_cast<std::size_t>(
                  scene.cabin->faces()[static_cast<std::size_t>(here.face)].surface)]);
  }
}

TEST(States, OpenAndCloseOpeningsAndTakePartitionsAway) {
  const Scene scene = scene_of(car +
                               "states:\n"
                               "  hatch_open: {open: [hatch]}\n"
                               "  hatch_shut: {close: [hatch]}\n");
  EXPECT_FALSE(scene.cabin->segment_free({2.35, 0, 0.95}, {3, 0, 0.95}));
  EXPECT_TRUE(state_of(scene, "hatch_open").cabin->segment_free({2.35, 0, 0.95}, {3, 0, 0.95}));
  EXPECT_FALSE(state_of(scene, "hatch_shut").cabin->segment_free({2.35, 0, 0.95}, {3, 0, 0.95}));
  EXPECT_EQ(state_of(scene, "hatch_open").transfer_impedances.size(), 1u);
  const std::string faults = faults_of(car + "states: {no_plate: {remove_partitions: [plate]}}\n");
  EXPECT_NE(faults.find("driver 'plate_mid': its surface 'plate.front' does not exist in this state"),
            std::string::npos)
      << faults;
}

// Body segments of an adult add up to 70 to 75 kg, near the density of water; the head is 5 of them (usual
// figures of anthropometry, from memory).
TEST(People, TakeAbout70Litres) {
  const std::string bare =
      "cabin:\n  box: {length: 3 m, width: 1.4 m, height: 1.6 m}\n"
      "seats: {driver: {head: [2, 0, 0.97]}}\nstates: {full: {occupied: all}}\n";
  const Scene scene = scene_of(bare);
  const double taken_m3 = scene.cabin->air_volume_m3() - state_of(scene, "full").cabin->air_volume_m3();
  EXPECT_NEAR(taken_m3, 0.070, 0.003);
}

TEST(People, SitBelowTheirEarsAndReachTheFootwell) {
  const Scene scene = scene_of(car + "states: {both: {occupied: all}, one: {occupied: [passenger]}}\n");
  const Cabin& both = *state_of(scene, "both").cabin;
  for (const Seat& seat : scene.seats) {
    for (const Vector3& ear : seat.ear) EXPECT_TRUE(both.in_air(ear));
    EXPECT_FALSE(both.in_air(seat.head + Vector3(-0.15, 0, -0.45))) << "trunk";
    EXPECT_FALSE(both.in_air(seat.head + Vector3(-0.5, 0, -0.6))) << "thighs";
    EXPECT_FALSE(both.in_air(seat.head + Vector3(-0.8, 0, -0.77))) << "legs";
  }
  const Cabin& one = *state_of(scene, "one").cabin;
  EXPECT_TRUE(one.in_air({1.25, -0.4, 0.55}));
  EXPECT_FALSE(one.in_air({1.25, 0.4, 0.55}));
  const Landing chest = both.land({1.25, -0.4, 0.55}, "person_driver_trunk.front");
  ASSERT_GE(chest.face, 0);
  const int material = both.faces()[static_cast<std::size_t>(chest.face)].material;
  EXPECT_EQ(scene.materials.at(static_cast<std::size_t>(material)).name, person_material);
  EXPECT_FALSE(scene.materials[static_cast<std::size_t>(material)].absorption.empty());
}

TEST(People, SwallowNoDriverUnsaid) {
  std::string text = car;
  text.insert(text.find("channels:"), "  lap: {model: tweeter_25, position: [0.9, 0.4, 0.4]}\n");
  const std::string faults = faults_of(text + "states: {both: {occupied: all}}\n");
  EXPECT_NE(faults.find("state 'both': driver 'lap' is inside the person at seat 'passenger'"),
            std::string::npos)
      << faults;
  EXPECT_EQ(faults_of(text + "states: {one: {occupied: [driver]}}\n"), "");
}

}  // namespace
}  // namespace cabinfield::test
