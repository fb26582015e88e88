// Guesses of a shape that do not fit give way; nothing that a person taped does.
#include "fitting/yielding_guesses.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cstdio>

#include "fitting/start_scene.h"
#include "input/scene_file.h"

namespace cabinfield {
namespace {

const std::vector<std::string> folders{std::string(CABINFIELD_SOURCE_DIR) + "/models"};

std::string started(const std::string& key) {
  Faults faults;
  const std::optional<Shape> shape = read_shape(key, folders, faults);
  StartOptions options;
  options.drivers = {true, false, true, true, true};
  const auto started = shape ? start_scene(*shape, options, folders, faults) : std::nullopt;
  if (!started) throw std::runtime_error(to_string(faults.faults().front()));
  // Without the preset: a start writes it when all places are settled.
  return started->text.substr(0, started->text.find("\npresets:") + 1);
}

std::string with(std::string text, const std::string& old_words, const std::string& new_words) {
  const std::size_t at = text.find(old_words);
  if (at == std::string::npos) throw std::runtime_error("no " + old_words);
  return text.replace(at, old_words.size(), new_words);
}

/// With another x in the first list that `key` begins after `section`.
std::string with_x(std::string text, const std::string& section, const std::string& key,
                   const std::string& x) {
  const std::size_t first = text.find(key + ": [", text.find(section)) + key.size() + 3;
  return text.replace(first, text.find(',', first) - first, x);
}

void expect_sound(const YieldedScene& yielded, const std::string& note) {
  EXPECT_FALSE(yielded.faults.any()) << to_string(yielded.faults.faults().front());
  EXPECT_TRUE(read_scene_text(yielded.text, "yielded.yaml", folders).scene);
  bool told = false;
  std::string all;
  for (const std::string& words : yielded.notes) {
    told = told || words.starts_with(note);
    all += words + "\n";
  }
  EXPECT_TRUE(told) << note << " is not among\n" << all;
}

TEST(YieldingGuesses, WhatFitsStaysAsItIs) {
  const std::string text = started("hatchback");
  const YieldedScene yielded = with_yielding_guesses(text, folders);
  EXPECT_EQ(yielded.text, text);
  EXPECT_TRUE(yielded.notes.empty());
}

TEST(YieldingGuesses, ALeakShrinksOrIsLeftOut) {
  const std::string text = started("hatchback");
  const YieldedScene shrunk = with_yielding_guesses(with(text, "area: 2500 cm2", "area: 7000 cm2"), folders);
  expect_sound(shrunk, "leak window_left: ");
  EXPECT_NE(shrunk.text.find("# the shape's 7000 cm2 is too large here"), std::string::npos);
  const YieldedScene gone = with_yielding_guesses(with(text, "area: 2500 cm2", "area: 90000 cm2"), folders);
  expect_sound(gone, "leak window_left: left out");
}

TEST(YieldingGuesses, ADriverMovesToWhereItsSurfaceIs) {
  const std::string text = started("hatchback");
  // Behind the mirror's corner, on glass.
  const std::string wrong = with_x(text, "tweeter_left:", "position", "0.70");
  ASSERT_FALSE(read_scene_text(wrong, "wrong.yaml", folders).scene);
  expect_sound(with_yielding_guesses(wrong, folders), "driver tweeter_left: moved ");
}

TEST(YieldingGuesses, ADriverMovesWhereAStateHidesItsSurface) {
  std::string text = started("hatchback");
  // A bin that only one state has, over the tweeter's place.
  const std::size_t at = text.find("position: [", text.find("tweeter_left:")) + 11;
  const std::string place = text.substr(at, text.find(']', at) - at);
  double x = 0, y = 0, z = 0;
  ASSERT_EQ(std::sscanf(place.c_str(), "%lf, %lf, %lf", &x, &y, &z), 3);
  const std::string bin = fmt::format(
      "\n  bin_shut:\n    add_blocks:\n      - {{name: bin, plan: [[{0}, {2}], [{1}, {2}], [{1}, {3}], "
      "[{0}, {3}]], z: [{4}, {5}]}}\n",
      x - 0.02, x + 0.02, y - 0.03, y + 0.03, z - 0.02, z + 0.02);
  const std::size_t states = text.find("\nstates:") + 8;
  ASSERT_GT(states, 8u);
  text.insert(states, bin.substr(0, bin.size() - 1));
  const SceneFile wrong = read_scene_text(text, "wrong.yaml", folders);
  ASSERT_FALSE(wrong.scene);
  for (const Fault& fault : wrong.faults.sorted())
    EXPECT_EQ(fault.subject.kind, SubjectKind::driver) << to_string(fault);
  expect_sound(with_yielding_guesses(text, folders), "driver tweeter_left: moved ");
}

TEST(YieldingGuesses, ADriverWithoutAnyPlaceIsLeftOutWithItsChannel) {
  const std::string text = started("hatchback");
  const std::string wrong = with_x(text, "\n  centre:", "position", "9.00");
  const YieldedScene yielded = with_yielding_guesses(wrong, folders);
  expect_sound(yielded, "driver centre: left out");
  EXPECT_NE(yielded.text.find("left out: it does not fit these lengths"), std::string::npos);
  EXPECT_NE(yielded.text.find("#   centre:"), std::string::npos);
  for (const std::string& words : yielded.notes) EXPECT_FALSE(words.starts_with("state ")) << words;
}

TEST(YieldingGuesses, AnOpeningStaysInItsSheet) {
  const std::string text = started("van");
  const std::string wrong = with_x(text, "name: hatch", "centre", "1.78");
  ASSERT_FALSE(read_scene_text(wrong, "wrong.yaml", folders).scene);
  expect_sound(with_yielding_guesses(wrong, folders), "opening hatch: moved ");
}

TEST(YieldingGuesses, TheBodyDoesNot) {
  const YieldedScene yielded =
      with_yielding_guesses(with(started("hatchback"), "head: [1.25", "head: [0.10"), folders);
  EXPECT_TRUE(yielded.faults.any());
}

}  // namespace
}  // namespace cabinfield
