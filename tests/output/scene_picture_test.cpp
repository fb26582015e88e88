// The drawn sheet: valid XML, to scale, with everything in the scene.
#include "output/scene_picture.h"

#include <gtest/gtest.h>

#include <cmath>
#include <regex>

#include "command/program.h"
#include "input/scene_file.h"

namespace cabinfield::test {
namespace {

Scene scene_of(const std::string& text) {
  SceneFile file = read_scene_text(text, "s.yaml");
  EXPECT_TRUE(file.scene) << (file.faults.any() ? to_string(file.faults.faults().front()) : "");
  return *file.scene;
}

/// Python's parser, independent of this program.
void expect_whole_xml(const std::string& picture) {
  const TemporaryFolder folder;
  folder.write("p.svg", picture);
  const ProgramRun run = run_shell(
      "/usr/bin/python3 -c \"import xml.dom.minidom as m; r = m.parse('p.svg').documentElement; "
      "print(r.tagName)\"",
      folder.path());
  EXPECT_EQ(run.status, 0) << run.err;
  EXPECT_EQ(run.out, "svg\n");
  EXPECT_EQ(picture.find("nan"), std::string::npos);
  EXPECT_EQ(picture.find("inf\""), std::string::npos);
}

TEST(ScenePicture, ShowsEverythingInTheScene) {
  for (const char* name : {"hatchback", "people_carrier", "pickup", "saloon"}) {
    const SceneFile file = read_scene_file(std::string(CABINFIELD_SOURCE_DIR) + "/scenes/" + name + ".yaml");
    ASSERT_TRUE(file.scene);
    const Scene& scene = *file.scene;
    const std::string picture = scene_picture(scene);
    expect_whole_xml(picture);
    for (const Seat& seat : scene.seats) EXPECT_NE(picture.find(seat.name), std::string::npos) << seat.name;
    for (const MountedDriver& driver : scene.drivers)
      EXPECT_NE(picture.find(">" + driver.name + ", "), std::string::npos) << driver.name;
    for (std::size_t m = 0; m < scene.marks.size(); ++m)
      EXPECT_NE(picture.find(">M" + std::to_string(m + 1) + " " + scene.marks[m].name), std::string::npos);
    for (std::size_t t = 0; t < scene.tapes.size(); ++t)
      EXPECT_NE(picture.find(">T" + std::to_string(t + 1) + " " + scene.tapes[t].from), std::string::npos);
    for (const OutlineCorner& corner : scene.cabin->shape().outline)
      EXPECT_NE(picture.find(">" + corner.surface + "<"), std::string::npos) << corner.surface;
  }
}

TEST(ScenePicture, IsToTheScaleItStates) {
  const Scene scene = scene_of(
      "cabinfield: 1\ntitle: Box\ncabin:\n  box: {length: 2 m, width: 1.4 m, height: 1.2 m}\n  materials: "
      "{all: glass}\n");
  const std::string picture = scene_picture(scene);
  std::smatch scale;
  ASSERT_TRUE(std::regex_search(picture, scale, std::regex(">1:([0-9.]+) on paper")));
  const double mm_per_m = 1000 / std::stod(scale[1]);
  // The first outline is the side view: its corners span length and height.
  std::smatch outline;
  ASSERT_TRUE(std::regex_search(picture, outline, std::regex("class=\"shell\" points=\"([^\"]*)\"")));
  std::istringstream points(outline[1]);
  double left = 1e9, right = -1e9, top = 1e9, bottom = -1e9, x = 0, y = 0;
  char comma = 0;
  while (points >> x >> comma >> y) {
    left = std::min(left, x);
    right = std::max(right, x);
    top = std::min(top, y);
    bottom = std::max(bottom, y);
  }
  EXPECT_NEAR(right - left, 2.0 * mm_per_m, 0.02);
  EXPECT_NEAR(bottom - top, 1.2 * mm_per_m, 0.02);
  EXPECT_NE(picture.find(">2000<"), std::string::npos) << "the length stands beside it";
  EXPECT_NE(picture.find(">1400 at 0<"), std::string::npos) << "and the width";
}

TEST(ScenePicture, WorksForIncompleteScenes) {
  expect_whole_xml(scene_picture(scene_of("cabinfield: 1\n")));
  expect_whole_xml(
      scene_picture(scene_of("cabinfield: 1\ntitle: A <b> & \"c\"\nmarks: {only: [0, 0, 0]}\n")));
  expect_whole_xml(scene_picture(scene_of("cabinfield: 1\nseats: {driver: {head: [1, -0.4, 1]}}\n")));
}

TEST(ScenePicture, OmitsWhatThePageCannotHoldWithANote) {
  std::string text = "cabinfield: 1\nmarks:\n";
  for (int i = 0; i < 300; ++i)
    text += "  mark_" + std::to_string(i) + ": [" + std::to_string(0.01 * i) + ", 0, 0.5]\n";
  const std::string picture = scene_picture(scene_of(text));
  expect_whole_xml(picture);
  EXPECT_NE(picture.find(" more, in the file<"), std::string::npos);
}

}  // namespace
}  // namespace cabinfield::test
