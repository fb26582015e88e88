// Near matches for misspelt names.
#include "base/nearest_name.h"

#include <gtest/gtest.h>

#include <string>
#include <vector>

namespace cabinfield {
namespace {

TEST(NearestName, FindsWhatWasMeant) {
  const std::vector<std::string> known = {"position", "setback", "surface",   "aim",      "model", "loading",
                                          "opening",  "grille",  "highpass",  "lowpass",  "gain",  "delay",
                                          "polarity", "x",       "mirror_of", "low-shelf"};
  struct Row {
    std::string given;
    std::string meant;
  };
  const std::vector<Row> table = {
      {"setbak", "setback"},       // one letter lost
      {"settback", "setback"},     // one too many
      {"setbavk", "setback"},      // one wrong
      {"stebacl", "setback"},      // two neighbours swapped and one wrong
      {"Setback", "setback"},      // case
      {"SETBACK", "setback"},      //
      {"mirror-of", "mirror_of"},  // hyphen
      {"mirror of", "mirror_of"},  // space
      {"mirrorof", "mirror_of"},   //
      {"low_shelf", "low-shelf"},  //
      {"dealy", "delay"},          // a swap counts once
      {"iam", "aim"},              //
      {"gian", "gain"},            //
      {"hihgpas", "highpass"},     //
      {"pos", "position"},         // a beginning that only one name has
      {"X", "x"},                  //
      {"po", ""},                  // too short a beginning
      {"y", ""},                   // another letter is another name
      {"ai", "aim"},               //
      {"volume", ""},              //
      {"", ""},                    //
      {std::string(100'000, 'a'), ""},
  };
  for (const Row& row : table) EXPECT_EQ(nearest_name(row.given, known), row.meant) << row.given;
}

TEST(NearestName, TakesTheNearerAndOfEqualsTheFirst) {
  EXPECT_EQ(nearest_name("front_left_mit", {"front_right_mid", "front_left_mid"}), "front_left_mid");
  EXPECT_EQ(nearest_name("mid_c", {"mid_a", "mid_b"}), "mid_a");
  EXPECT_EQ(nearest_name("mid", {"mid_left", "mid_right"}), "");
  EXPECT_EQ(nearest_name("anything", {}), "");
}

TEST(NearestName, HintReadsAsAQuestion) {
  EXPECT_EQ(nearest_name_hint("setbak", {"setback"}), "; did you mean 'setback'?");
  EXPECT_EQ(nearest_name_hint("volume", {"setback"}), "");
}

}  // namespace
}  // namespace cabinfield
