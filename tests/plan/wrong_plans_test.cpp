// Plans that are wrong in one way each (wrong_plans/plans.txt), as edits of one in which every rule holds
// (wrong_plans/car.yaml). Each must draw the violation named beside it.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <sstream>
#include <stdexcept>

#include "scene/scene_text.h"
#include "support/judged_plan.h"

namespace cabinfield::test {
namespace {

const std::string folder = CABINFIELD_SOURCE_DIR "/tests/plan/wrong_plans/";

struct Edit {
  std::string from, to;
};
struct WrongPlan {
  std::string title;
  std::vector<Edit> edits;
  Broken expected;
};

std::string text_of(const std::string& file) {
  std::ifstream stream(folder + file);
  if (!stream) throw std::runtime_error("cannot read " + folder + file);
  std::stringstream text;
  text << stream.rdbuf();
  return text.str();
}

/// "\n" as written in the list is a new line.
std::string with_new_lines(std::string text) {
  for (std::size_t at = 0; (at = text.find("\\n", at)) != std::string::npos;) text.replace(at, 2, "\n");
  return text;
}

std::vector<WrongPlan> wrong_plans() {
  std::vector<WrongPlan> plans;
  std::istringstream lines(text_of("plans.txt"));
  for (std::string line; std::getline(lines, line);) {
    if (line.empty() || line[0] == '#') continue;
    const std::string rest = line.size() > 2 ? line.substr(2) : "";
    if (line[0] == '=') {
      plans.push_back({rest, {}, {}});
    } else if (line[0] == '-') {
      plans.back().edits.push_back({with_new_lines(rest), ""});
    } else if (line[0] == '+') {
      plans.back().edits.back().to = with_new_lines(rest);
    } else if (line[0] == '!') {
      const std::size_t slash = rest.find(" / ");
      plans.back().expected.emplace(rest.substr(0, slash), rest.substr(slash + 3));
    } else {
      throw std::runtime_error("plans.txt: " + line);
    }
  }
  return plans;
}

std::string edited(std::string text, const WrongPlan& plan) {
  for (const Edit& edit : plan.edits) {
    if (edit.from == "@cable") {
      text += "    - " + edit.to + "\n";
    } else if (edit.from == "@processor") {
      text = "processor: {model: eight_output}\n" + text;
    } else if (edit.from == "@charger") {
      text.replace(text.find("  junctions:"), 0, "  chargers: " + edit.to + "\n");
    } else {
      const std::size_t at = text.find(edit.from);
      if (at == std::string::npos || text.find(edit.from, at + 1) != std::string::npos)
        throw std::runtime_error(fmt::format("{}: not once in the plan: {}", plan.title, edit.from));
      text.replace(at, edit.from.size(), edit.to);
    }
  }
  return text;
}

TEST(WrongPlans, TheSoundPlanHolds) {
  const auto checks = checks_of(text_of("car.yaml"));
  EXPECT_EQ(broken(checks), Broken{});
  EXPECT_GT(checks.size(), 40U);
}

TEST(WrongPlans, NoneOf150Passes) {
  const auto plans = wrong_plans();
  EXPECT_GE(plans.size(), 150U);
  const std::string sound = text_of("car.yaml");
  for (const WrongPlan& plan : plans) {
    ASSERT_FALSE(plan.expected.empty()) << plan.title;
    const Broken found = broken(checks_of(edited(sound, plan)));
    for (const auto& violation : plan.expected)
      EXPECT_TRUE(found.contains(violation))
          << plan.title << ": " << violation.first << " / " << violation.second << "\nfound "
          << testing::PrintToString(found);
  }
}

}  // namespace
}  // namespace cabinfield::test
