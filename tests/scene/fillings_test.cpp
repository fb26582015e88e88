// Porous blocks: which filling they have and what their faces do to rays.
#include <gtest/gtest.h>

#include <algorithm>

#include "scene/scene_text.h"

namespace cabinfield::test {
namespace {

const std::string box =
    "cabin:\n"
    "  box: {length: 3 m, width: 1.4 m, height: 1.2 m}\n"
    "  blocks:\n";

TEST(Fillings, AreThoseOfTheSceneThenOfTheModelsThenInPlace) {
  const Scene scene = scene_of(
      "fillings: {wool: {flow_resistivity: 9000 Pa.s/m2, porosity: 0.9, viscous_length: 0.05 mm, "
      "thermal_length: 0.1 mm}, unused: {flow_resistivity: 1000 Pa.s/m2}}\n" +
      box +
      "    - {name: a, profile: [[1, 0], [1.2, 0], [1.2, 0.5], [1, 0.5]], y: [-0.5, 0], filling: wool}\n"
      "    - {name: b, mirror_of: a}\n"
      "    - {name: c, profile: [[2, 0], [2.2, 0], [2.2, 0.5], [2, 0.5]], y: [-0.5, 0], filling: seat_foam}\n"
      "    - {name: d, mirror_of: c, filling: {flow_resistivity: 4 kPa.s/m2}}\n"
      "    - {name: e, mirror_of: c, material: carpet, profile: [[2.5, 0], [2.6, 0], [2.6, 0.5]]}\n");
  ASSERT_TRUE(scene.cabin);
  const auto& blocks = scene.cabin->shape().blocks;
  ASSERT_EQ(scene.fillings.size(), 3u) << "one that is used twice stands once, one not used not at all";
  EXPECT_EQ(blocks[0].filling, blocks[1].filling);
  const Filling& wool = scene.fillings[static_cast<std::size_t>(blocks[0].filling)];
  EXPECT_EQ(wool.name, "wool");
  EXPECT_DOUBLE_EQ(wool.flow_resistivity_pa_s_m2, 9000);
  EXPECT_DOUBLE_EQ(wool.porosity, 0.9);
  EXPECT_DOUBLE_EQ(wool.tortuosity, 1.4);
  EXPECT_DOUBLE_EQ(*wool.viscous_length_m, 5e-5);
  EXPECT_DOUBLE_EQ(*wool.thermal_length_m, 1e-4);
  EXPECT_EQ(scene.fillings[static_cast<std::size_t>(blocks[2].filling)].name, "seat_foam");
  EXPECT_DOUBLE_EQ(scene.fillings[static_cast<std::size_t>(blocks[3].filling)].flow_resistivity_pa_s_m2,
                   4000);
  EXPECT_EQ(blocks[4].filling, -1) << "a material of its own takes the place of the filling mirrored";
}

TEST(Fillings, FacesReflectAsALayerAsDeepAsTheBlock) {
  const Scene scene = scene_of(
      box +
      "    - {name: seat, profile: [[1, 0], [1.2, 0], [1.2, 0.5], [1, 0.5]], y: [-0.5, -0.05], filling: "
      "seat_foam}\n");
  ASSERT_TRUE(scene.cabin);
  const Cabin& cabin = *scene.cabin;
  EXPECT_FALSE(cabin.in_air({1.1, -0.2, 0.2})) << "a solid to rays";
  for (const auto& [face, depth_m] :
       {std::pair{"seat.front", 0.2}, {"seat.rear", 0.2}, {"seat.top", 0.5}, {"seat.left", 0.45}}) {
    const Landing landing = cabin.land({1.1, -0.2, 0.2}, face);
    ASSERT_GE(landing.face, 0) << face;
    const int index = cabin.faces()[static_cast<std::size_t>(landing.face)].material;
    const Material& material = scene.materials.at(static_cast<std::size_t>(index));
    ASSERT_TRUE(material.layer) << face;
    EXPECT_DOUBLE_EQ(material.layer->thickness_m, depth_m) << face;
    EXPECT_EQ(material.layer->filling.name, "seat_foam");
  }
  const auto layers = std::count_if(scene.materials.begin(), scene.materials.end(),
                                    [](const Material& material) { return material.layer.has_value(); });
  EXPECT_EQ(layers, 3) << "one for each depth";
}

TEST(Fillings, NothingListensOrPlaysInsideOne) {
  const std::string faults = faults_of(
      box +
      "    - {name: seat, profile: [[1, 0], [1.2, 0], [1.2, 0.9], [1, 0.9]], y: [-0.5, 0], filling: "
      "seat_foam}\n"
      "seats: {a: {head: [1.1, -0.2, 0.8]}}\n"
      "drivers: {d: {model: tweeter_25, position: [1.1, -0.2, 0.4]}}\n");
  EXPECT_NE(faults.find("seat 'a': its head is inside block 'seat'"), std::string::npos) << faults;
  EXPECT_NE(faults.find("driver 'd': its position is inside block 'seat'"), std::string::npos) << faults;
}

TEST(Fillings, ADriverOnAPorousFaceIsWarnedOf) {
  const std::string seats =
      box +
      "    - {name: seat, profile: [[1, 0], [1.2, 0], [1.2, 0.5], [1, 0.5]], y: [-0.5, 0], filling: "
      "seat_foam}\n"
      "    - {name: box, profile: [[0.5, 0], [0.8, 0], [0.8, 0.3], [0.5, 0.3]], y: [-0.5, 0]}\n"
      "drivers:\n";
  EXPECT_NE(warnings_of(seats + "  d: {model: mid_75, position: [1.1, -0.2, 0.5], surface: seat.top}\n")
                .find("driver 'd': surface 'seat.top' is porous: foam cannot hold a driver"),
            std::string::npos);
  EXPECT_EQ(warnings_of(seats + "  d: {model: mid_75, position: [0.65, -0.2, 0.3], surface: box.top}\n")
                .find("porous"),
            std::string::npos);
}

}  // namespace
}  // namespace cabinfield::test
