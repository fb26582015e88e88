// Legal, but deserving a word: what is warned of, noted or skipped, and what is not.
#include <gtest/gtest.h>

#include <algorithm>

#include "scene/scene_text.h"

namespace cabinfield::test {
namespace {

const std::string box = "cabin: {box: {length: 2 m, width: 1.4 m, height: 1.1 m}}\n";

std::string joined(const std::vector<std::string>& lines) {
  std::string text;
  for (const std::string& line : lines) text += line + "\n";
  return text;
}

int lines_in(const std::string& text) { return static_cast<int>(std::count(text.begin(), text.end(), '\n')); }

TEST(Overhang, OfAConeOverTheEdgeOfItsSurfaceIsWarnedOf) {
  // A midbass of 137 cm2: 66.0 mm of radius.
  const auto at = [](double z) {
    return box + "drivers: {d: {model: midbass_165, position: [1, -0.7, " + std::to_string(z) +
           "], surface: left}}\n";
  };
  EXPECT_EQ(warnings_of(at(0.5)), "");
  EXPECT_EQ(warnings_of(at(0.067)), "");
  const std::string warning = warnings_of(at(0.03));
  EXPECT_NE(warning.find("driver 'd': its cone of 66 mm radius reaches"), std::string::npos) << warning;
  EXPECT_NE(warning.find("past the edge of surface 'left'"), std::string::npos) << warning;
  EXPECT_EQ(faults_of(at(0)), "") << "in the very edge of two walls, which mirror it";
}

TEST(Overhang, IsNotSeenBetweenPatchesOfOneWall) {
  const std::string scene =
      "cabin: {box: {length: 2 m, width: 1.4 m, height: 1.1 m}, patches: [{surface: left, x: [0.5, 1], name: "
      "pocket}]}\n"
      "drivers: {d: {model: midbass_165, position: [1.01, -0.7, 0.5], surface: left}}\n";
  EXPECT_EQ(warnings_of(scene) + faults_of(scene), "");
}

TEST(Ears, WithinFiveCentimetresOfTrimAreWarnedOf) {
  // Ears are 87.5 mm to either side.
  const auto at = [](double y) { return box + "seats: {a: {head: [1, " + std::to_string(y) + ", 0.9]}}\n"; };
  EXPECT_EQ(warnings_of(at(0.7 - 0.0875 - 0.051)), "");
  EXPECT_NE(warnings_of(at(0.7 - 0.0875 - 0.049))
                .find("f.yaml:3:19: seat 'a': its right ear is only 49 mm from surface 'right'"),
            std::string::npos)
      << warnings_of(at(0.7 - 0.0875 - 0.049));
  EXPECT_NE(warnings_of(at(-0.6)).find("its left ear is only 12 mm from surface 'left'"), std::string::npos);
  EXPECT_EQ(faults_of(at(0.7 - 0.0875)), "") << "at the trim itself";
}

TEST(Blocks, ThatNobodySeesAreWarnedOf) {
  const auto with = [](const std::string& block) {
    return "cabin:\n  box: {length: 2 m, width: 1.4 m, height: 1.1 m}\n  blocks:\n"
           "    - {name: dash, profile: [[0, 0.4], [0.5, 0.4], [0.5, 0.8], [0, 0.8]], y: [-0.6, 0.6]}\n"
           "    - " +
           block + "\n";
  };
  for (const std::string hidden :
       {"{name: twin, profile: [[0, 0.4], [0.5, 0.4], [0.5, 0.8], [0, 0.8]], y: [-0.6, 0.6]}",
        "{name: inner, profile: [[0.1, 0.5], [0.4, 0.5], [0.4, 0.7], [0.1, 0.7]], y: [-0.5, 0.5]}",
        "{name: beyond, profile: [[2.1, 0.5], [2.4, 0.5], [2.4, 0.7], [2.1, 0.7]], y: [-0.5, 0.5]}"}) {
    const std::string warnings = warnings_of(with(hidden));
    EXPECT_EQ(faults_of(with(hidden)), "");
    EXPECT_EQ(lines_in(warnings), 1) << warnings;
    EXPECT_EQ(warnings.find("f.yaml:6:7: block '"), 0U) << warnings;
    EXPECT_NE(warnings.find("has no exposed face"), std::string::npos) << warnings;
  }
  for (const std::string seen :
       {"{name: twin, profile: [[0, 0.4], [0.5, 0.4], [0.5, 0.8], [0, 0.8]], y: [-0.6, 0.65]}",
        "{name: tray, profile: [[0.1, 0.5], [0.4, 0.5], [0.4, 0.7], [0.1, 0.7]], y: [-0.5, 0.5], material: "
        "air}"})
    EXPECT_EQ(warnings_of(with(seen)) + faults_of(with(seen)), "") << seen;
}

TEST(Blocks, ThatCoincideCountAsTheFirst) {
  const Scene scene = scene_of(
      "cabin:\n  box: {length: 2 m, width: 1.4 m, height: 1.1 m}\n  blocks:\n"
      "    - {name: dash, profile: [[0, 0.4], [0.5, 0.4], [0.5, 0.8], [0, 0.8]], y: [-0.6, 0.6], material: "
      "carpet}\n"
      "    - {name: twin, profile: [[0, 0.4], [0.5, 0.4], [0.5, 0.8], [0, 0.8]], y: [-0.6, 0.6], material: "
      "glass}\n");
  ASSERT_TRUE(scene.cabin);
  const auto area = [&](const char* name) {
    return scene.cabin->surface_area_m2(scene.cabin->surface_index(name));
  };
  EXPECT_NEAR(area("dash.rear"), 0.4 * 1.2, 1e-9);
  EXPECT_EQ(area("twin.rear"), 0);
  EXPECT_EQ(area("twin.top"), 0);
}

TEST(Materials, GivenInPlaceForManySurfacesAreOne) {
  const std::string scene =
      "cabin:\n  box: {length: 2 m, width: 1.4 m, height: 1.1 m}\n"
      "  materials: {all: {specific_impedance: 20}, roof: {specific_impedance: 30}}\n";
  // Rigid, and the two.
  EXPECT_EQ(scene_of(scene).materials.size(), 3U);
  EXPECT_EQ(lines_in(warnings_of(scene)), 2) << warnings_of(scene);
}

TEST(HalfKnown, SaysThatASurfaceWaitsForItsCabin) {
  const std::string seats = "seats: {a: {head: [3, 1, 1]}}\n";
  const Scene scene = scene_of(
      seats +
      "drivers:\n  d: {model: tweeter_25, position: [0, 0, 1], surface: dash.top}\n"
      "  e: {model: tweeter_25, position: [0, 1, 1], surface: dash.top, aim: {direction: [0, 1, 0]}}\n"
      "  f: {model: tweeter_25, position: [0, 1, 1], aim: {seat: a}}\n");
  EXPECT_NE(joined(scene.skipped).find("the surfaces of d, e, computed as points in free air: add cabin"),
            std::string::npos)
      << joined(scene.skipped);
  EXPECT_NE(joined(scene.notes).find("d has no aim, and the scene has no cabin: aimed at the middle"),
            std::string::npos)
      << joined(scene.notes);
  EXPECT_LT((scene.drivers[0].source.axis - Vector3(3, 1, 0).normalized()).norm(), 1e-12);
  EXPECT_LT((scene.drivers[1].source.axis - Vector3(0, 1, 0)).norm(), 1e-12);
  EXPECT_EQ(joined(scene_of(seats).skipped).find("surface"), std::string::npos);
}

TEST(Aims, AnyDirectionThatIsNotZeroTellsAWay) {
  for (const std::string direction : {"[0, 0, 2000]", "[0, 0, 1.0e-9]", "[0, 0, 1.0e-200]"}) {
    const Scene scene = scene_of(
        "units: {length: mm}\ndrivers: {d: {model: tweeter_25, position: [0, 0, 0], "
        "aim: {direction: " +
        direction + "}}}\n");
    ASSERT_EQ(scene.drivers.size(), 1U);
    EXPECT_LT((scene.drivers[0].source.axis - Vector3(0, 0, 1)).norm(), 1e-12) << direction;
  }
}

}  // namespace
}  // namespace cabinfield::test
