// Codes of rules and their printed names.
#include "plan/check.h"

#include <gtest/gtest.h>

#include <set>
#include <string>

namespace cabinfield {
namespace {

TEST(Check, EveryRuleHasItsOwnNameAndAllCautionsShareOne) {
  std::set<std::string> names;
  for (int code = 0; code <= static_cast<int>(Rule::hearing); ++code) {
    const auto rule = static_cast<Rule>(code);
    const std::string name = name_of(rule);
    EXPECT_EQ(name == "caution", is_caution(rule)) << code;
    if (!is_caution(rule)) {
      EXPECT_TRUE(names.insert(name).second) << name;
    }
  }
}

TEST(Check, OutcomesAndUnitsPrintAsStored) {
  EXPECT_STREQ(name_of(Outcome::met), "met");
  EXPECT_STREQ(name_of(Outcome::caution), "caution");
  EXPECT_STREQ(name_of(Outcome::violated), "violated");
  EXPECT_STREQ(symbol_of(MarginUnit::litre), "L");
  EXPECT_STREQ(symbol_of(MarginUnit::watt), "W");
  EXPECT_STREQ(symbol_of(MarginUnit::kelvin), "K");
}

}  // namespace
}  // namespace cabinfield
