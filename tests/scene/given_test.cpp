// What was given, where, and what had a fault while it was read: later checks must not find fault with it
// again.
#include "scene/given.h"

#include <gtest/gtest.h>

#include "input/keys_values.h"
#include "input/scene_keys.h"
#include "scene/scene_text.h"

namespace cabinfield::test {
namespace {

SceneSpec spec_of(const std::string& text, Faults& faults) {
  const Node node = parse_document("cabinfield: 1\n" + text, "f.yaml", faults);
  Reading reading{faults};
  return scene_keys().read(node, reading);
}

TEST(Given, KnowsThePlaceOfEachKeyAndElseItsOwn) {
  Faults faults;
  const SceneSpec spec = spec_of("ear_spacing: 175 mm\nseats:\n  a: {head: [1, 0, 1]}\n", faults);
  EXPECT_FALSE(faults.any());
  EXPECT_TRUE(spec.sound());
  EXPECT_EQ(spec.at("ear_spacing"), (SourceLocation{"f.yaml", 2, 14}));
  EXPECT_FALSE(spec.has("title"));
  EXPECT_EQ(spec.at("title"), spec.location);
  EXPECT_EQ(spec.seats[0].location, (SourceLocation{"f.yaml", 4, 3})) << "of the name";
  EXPECT_EQ(spec.seats[0].value.at("head"), (SourceLocation{"f.yaml", 4, 13}));
}

TEST(Given, MarksKeysThatHadAFaultAnywhereInTheirValue) {
  Faults faults;
  const SceneSpec spec = spec_of(
      "title: fine\near_spacing: 175\nsaets: {}\nseats:\n  a: {head: [1, 0, x]}\n  b: {head: [1, 0, 1]}\n",
      faults);
  EXPECT_EQ(faults.faults().size(), 3U);
  EXPECT_FALSE(spec.sound());
  EXPECT_TRUE(spec.sound("title"));
  EXPECT_FALSE(spec.sound("ear_spacing"));
  EXPECT_FALSE(spec.sound("seats")) << "deep inside, and misspelt besides";
  EXPECT_FALSE(spec.seats[0].value.sound("head"));
  EXPECT_TRUE(spec.seats[1].value.sound());
}

TEST(Given, MarksAMisspeltKeyAsTheOneThatWasMeant) {
  Faults faults;
  const SceneSpec spec = spec_of("seats:\n  a: {hed: [1, 0, 1]}\n", faults);
  EXPECT_EQ(faults.faults().size(), 1U);
  EXPECT_FALSE(spec.seats[0].value.sound("head"));
  EXPECT_TRUE(spec.seats[0].value.has("head")) << "so that nobody asks for it again";
}

TEST(Given, MarksARequiredKeyThatIsMissing) {
  Faults faults;
  const SceneSpec spec = spec_of("cabin: {box: {length: 2 m, width: 1 m}}\n", faults);
  EXPECT_EQ(faults.faults().size(), 1U);
  ASSERT_TRUE(spec.cabin);
  EXPECT_FALSE(spec.cabin->sound("box"));
}

TEST(Named, KeepsTheNameOfWhatCouldNotBeRead) {
  Faults faults;
  const SceneSpec spec = spec_of("seats:\n  a: 3\n  b: {head: [1, 0, 1]}\nmarks:\n  m: [1, 2]\n", faults);
  EXPECT_EQ(faults.faults().size(), 2U);
  ASSERT_EQ(spec.seats.size(), 2U);
  EXPECT_EQ(spec.seats[0].name, "a");
  EXPECT_TRUE(spec.seats[0].broken);
  EXPECT_FALSE(spec.seats[1].broken);
  ASSERT_EQ(spec.marks.size(), 1U);
  EXPECT_TRUE(spec.marks[0].broken);
}

TEST(Named, ABrokenOneIsStillKnownToThoseThatNameIt) {
  const std::string faults = faults_of(
      "seats:\n  a: 3\nbrief: {listen: [a]}\ntape: [{from: seats.a, to: [0, 0, 0], length: 1 m}]\n");
  EXPECT_EQ(std::count(faults.begin(), faults.end(), '\n'), 1) << faults;
}

// --- Sizes of boxes
// ---------------------------------------------------------------------------------------------------

TEST(Extent, IsThreeSidesOfAMillimetreAndMore) {
  const auto read = [](const std::string& text, Faults& faults, double unit_m = 1) {
    const Node node = parse_document("size: " + text, "f.yaml", faults);
    Reading reading{faults, unit_m};
    reading.key = "size";
    return extent(GeometryRole::size).read(*node.find("size"), reading);
  };
  Faults none;
  EXPECT_EQ(read("[0.4, 0.5, 0.001]", none), Vector3(0.4, 0.5, 0.001));
  EXPECT_EQ(read("[400, 500, 1]", none, 0.001), Vector3(0.4, 0.5, 0.001));
  EXPECT_FALSE(none.any());
  for (const std::string text : {"[0.4, 0.5, 0.0009]", "[-0.4, 0.5, 0.3]", "[0, 0.5, 0.3]", "[0.4, 0.5]",
                                 "[0.4, 0.5, 101]", "[.nan, 0.5, 0.5]", "0.4"}) {
    Faults faults;
    EXPECT_FALSE(read(text, faults)) << text;
    ASSERT_EQ(faults.faults().size(), 1U) << text;
    EXPECT_EQ(faults.faults()[0].message.rfind("size", 0), 0U) << faults.faults()[0].message;
  }
  Faults faults;
  read("[0.4, 0.5, 0.0009]", faults);
  EXPECT_EQ(faults.faults()[0].message, "size has a side of 0.9 mm: each must be at least 1 mm");
}

}  // namespace
}  // namespace cabinfield::test
