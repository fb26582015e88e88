// A scene's text with its positions moved: what moves, what stays as it was typed.
#include "fitting/moved_text.h"

#include <gtest/gtest.h>

#include <cmath>

#include "input/scene_file.h"

namespace cabinfield {
namespace {

const std::string scene = R"(cabinfield: 1
title: Größe – ein Wagen   # twice as long
cabin:
  profile:
    - {x: 0, z: 0.00, surface: front}
    - {x: 0.50, z: 1.2, surface: roof}      # ± 5 mm
    - {x: 2.0, z: 1.2, surface: rear}
    - {x: 2.0, z: 0, surface: floor}
  sides:
    - {z: 0, y: 0.6, surface: door}
    - {z: 1.2, y: 0.6}
  patches:
    - {surface: door_left, x: [0.5, 1], name: kick_left}
  blocks:
    - {name: lump, plan: [[1, -0.2], {x: 1.4, y: -0.2}, [1.2, 0.2]], z: [0.1, 0.3]}
    - {name: cushion, profile: [[0.6, 0.1], [0.6, 0.3], [1.1, 0.3], [1.1, 0.1]], y: [-0.5, -0.1]}
    - {name: dash, profile: [{x: 0, z: 0.8, face: top}, [0.4, 0.8], [0.3, 0.4]], y: [-0.9, 0.9]}
  partitions:
    - {name: sheet, line: [[1.7, 0], [1.8, 1.2]], y: [-0.5, 0.5], openings: [{name: way, centre: [1.75, 0, 0.6], width: 100 mm, height: 100 mm}]}
seats:
  driver: {head: [1.0, -0.3, 0.9]}
  passenger: {mirror_of: driver}
marks: {bolt: [0.8, 0.5, 0.1]}
drivers:
  boxed: {position: [1.5, 0, 0.3], surface: box.top, loading: {box: box}}
  door: {position: [0.6, -0.6, 0.3], aim: {point: [1, 0, 0.9]}}
boxes: {box: {sealed: 20 L, outside: {at: [1.5, 0, 0], size: [0.3, 0.4, 0.3]}}}
)";

std::string moved(const std::string& text,
                  const std::function<void(Eigen::VectorXd&, const FreePlanes&)>& change,
                  MoveOptions options = {}) {
  Faults faults;
  const Node root = parse_document(text, "s.yaml", faults);
  EXPECT_FALSE(faults.any());
  CabinShape shape;
  shape.outline = {{{0, 0}, "", 0}, {{0.5, 1.2}, "", 0}, {{2, 1.2}, "", 0}, {{2, 0}, "", 0}};
  shape.sides = {{0, 0.6, "", 0}, {1.2, 0.6, "", 0}};
  const FreePlanes planes = free_planes(shape, {{1, -0.3, 0.9}});
  Eigen::VectorXd stretch = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(planes.degrees_of_freedom()));
  change(stretch, planes);
  return moved_text(text, root, CabinWarp(planes, stretch), options);
}

TEST(MovedText, IsTheSameTextWhereNothingMoves) {
  EXPECT_EQ(moved(scene, [](Eigen::VectorXd&, const FreePlanes&) {}), scene);
}

TEST(MovedText, MovesEveryPositionAndNothingElse) {
  const std::string text = moved(scene, [](Eigen::VectorXd& stretch, const FreePlanes& planes) {
    for (std::size_t i = 0; i + 1 < planes.x.size(); ++i) stretch[static_cast<Eigen::Index>(i)] = std::log(2);
  });
  for (const char* line : {
           "title: Größe – ein Wagen   # twice as long",
           "    - {x: 0, z: 0.00, surface: front}",
           "    - {x: 1.00, z: 1.2, surface: roof}      # ± 5 mm",
           "    - {surface: door_left, x: [1.00, 2.00], name: kick_left}",
           "plan: [[2.00, -0.2], {x: 2.80, y: -0.2}, [2.40, 0.2]], z: [0.1, 0.3]}",
           "profile: [{x: 0, z: 0.8, face: top}, [0.80, 0.8], [0.60, 0.4]], y: [-0.9, 0.9]}",
           // A seat keeps its length, half a metre, and goes with the head, a metre.
           "cushion, profile: [[1.60, 0.1], [1.60, 0.3], [2.10, 0.3], [2.10, 0.1]], y: [-0.5, -0.1]}",
           "line: [[3.40, 0], [3.60, 1.2]]",
           "centre: [3.50, 0, 0.6], width: 100 mm",
           "  driver: {head: [2.00, -0.3, 0.9]}",
           "  passenger: {mirror_of: driver}",
           "marks: {bolt: [1.60, 0.5, 0.1]}",
           "position: [3.00, 0, 0.3], surface: box.top",
           "door: {position: [1.20, -0.6, 0.3], aim: {point: [2.00, 0, 0.9]}}",
           "outside: {at: [3.00, 0, 0], size: [0.3, 0.4, 0.3]}",
       })
    EXPECT_NE(text.find(line), std::string::npos) << line << "\nin\n" << text;
}

TEST(MovedText, MovesWhatStandsInTheLoadSpace) {
  const std::string plan = R"(cabinfield: 1
amplifiers:
  amp: {model: four_channel_90, at: [1.6, 0.2, 0], turned: yes}
processor: {model: twelve_output, at: [1.7, 0.2, 0]}
supply: {batteries: {second: {chemistry: agm, capacity: 50 Ah, size: [20 cm, 15 cm, 15 cm], at: [1.8, -0.2, 0]}}}
load_space:
  rooms: {boot: {at: [1.6, 0, 0], size: [0.6, 1.0, 0.5]}}
  keep_free: {spare: {at: [1.4, 0, 0.1], size: [0.3, 0.4, 0.2]}}
  things: {tools: {at: [1.3, 0.3, 0], size: [0.1, 0.2, 0.1], mass: 2 kg}}
  axles: {front: 0.4, rear: 1.5}
)";
  const std::string text = moved(plan, [](Eigen::VectorXd& stretch, const FreePlanes& planes) {
    for (std::size_t i = 0; i + 1 < planes.x.size(); ++i) stretch[static_cast<Eigen::Index>(i)] = std::log(2);
    for (std::size_t i = 0; i + 1 < planes.z.size(); ++i)
      stretch[static_cast<Eigen::Index>(planes.x.size() - 1 + i)] = std::log(1.5);
  });
  // Twice as long and half as high again: rooms are a part of the car, the rest keeps its size.
  for (const char* line : {
           "  amp: {model: four_channel_90, at: [3.20, 0.2, 0], turned: yes}",
           "processor: {model: twelve_output, at: [3.40, 0.2, 0]}",
           "size: [20 cm, 15 cm, 15 cm], at: [3.60, -0.2, 0]}}}",
           "  rooms: {boot: {at: [3.20, 0, 0], size: [1.20, 1.0, 0.75]}}",
           "  keep_free: {spare: {at: [2.80, 0, 0.15], size: [0.3, 0.4, 0.2]}}",
           "  things: {tools: {at: [2.60, 0.3, 0], size: [0.1, 0.2, 0.1], mass: 2 kg}}",
           "  axles: {front: 0.80, rear: 3.00}",
       })
    EXPECT_NE(text.find(line), std::string::npos) << line << "\nin\n" << text;
}

TEST(MovedText, WhatSitsOnABoxKeepsItsPlaceOnIt) {
  const std::string text = moved(scene, [](Eigen::VectorXd& stretch, const FreePlanes& planes) {
    // Heights, from the floor up.
    for (std::size_t i = 0; i + 1 < planes.z.size(); ++i)
      stretch[static_cast<Eigen::Index>(planes.x.size() - 1 + i)] = std::log(1.5);
  });
  // The box stands on the floor and keeps its 0.3 m; the door's driver rises.
  EXPECT_NE(text.find("boxed: {position: [1.5, 0, 0.3]"), std::string::npos) << text;
  EXPECT_NE(text.find("door: {position: [0.6, -0.6, 0.45]"), std::string::npos) << text;
}

TEST(MovedText, WritesTheFilesOwnUnit) {
  const std::string text = "cabinfield: 1\nunits: {length: mm}\nmarks: {bolt: [800, 500, 100]}\n";
  const std::string out = moved(
      text, [](Eigen::VectorXd& stretch, const FreePlanes&) { stretch[0] = stretch[1] = std::log(1.1); },
      {0.001, false});
  EXPECT_NE(out.find("bolt: [880, 500, 100]"), std::string::npos) << out;
}

TEST(MovedText, CountsColumnsInCharacters) {
  const std::string out =
      moved("{cabinfield: 1, title: \"Größe\", marks: {bolt: [0.25, 0.5, 0.1], nut: [0.1, 0, 0]}}   # ±\n",
            [](Eigen::VectorXd& stretch, const FreePlanes&) { stretch[0] = std::log(2); });
  EXPECT_EQ(out,
            "{cabinfield: 1, title: \"Größe\", marks: {bolt: [0.50, 0.5, 0.1], nut: [0.20, 0, 0]}}  # ±\n");
}

TEST(MovedText, PutsTheDriverOnTheOtherSide) {
  const std::string text = moved(scene, [](Eigen::VectorXd&, const FreePlanes&) {}, {1, true});
  EXPECT_NE(text.find("driver: {head: [1.0, 0.30, 0.9]}"), std::string::npos) << text;
}

}  // namespace
}  // namespace cabinfield
