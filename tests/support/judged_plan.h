// What `check` says of a plan, for tests that ask of one rule and one subject.
#pragma once

#include <set>
#include <string>
#include <utility>
#include <vector>

#include "predict/results.h"

namespace cabinfield::test {

using Broken = std::set<std::pair<std::string, std::string>>;  ///< rule and subject

Broken broken(const std::vector<Check>& checks);
/// Throws std::out_of_range where there is none.
const Check& check_of(const std::vector<Check>& checks, const std::string& rule, const std::string& subject);
std::vector<std::string> cautions(const std::vector<Check>& checks);
bool any_says(const std::vector<std::string>& words, const std::string& what);
/// Of a scene's text without its first line.
std::vector<Check> checks_of(const std::string& text);

}  // namespace cabinfield::test
