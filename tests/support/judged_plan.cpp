#include "support/judged_plan.h"

#include <algorithm>
#include <stdexcept>

#include "predict/prediction.h"
#include "scene/scene_text.h"

namespace cabinfield::test {

Broken broken(const std::vector<Check>& checks) {
  Broken found;
  for (const Check& check : checks)
    if (check.outcome == Outcome::violated) found.emplace(name_of(check.rule), check.subject);
  return found;
}

const Check& check_of(const std::vector<Check>& checks, const std::string& rule, const std::string& subject) {
  for (const Check& check : checks)
    if (name_of(check.rule) == rule && check.subject == subject) return check;
  throw std::out_of_range("there is no check '" + rule + "' of '" + subject + "'");
}

std::vector<std::string> cautions(const std::vector<Check>& checks) {
  std::vector<std::string> words;
  for (const Check& check : checks)
    if (is_caution(check.rule)) words.push_back(check.words);
  return words;
}

bool any_says(const std::vector<std::string>& words, const std::string& what) {
  return std::any_of(words.begin(), words.end(),
                     [&](const std::string& line) { return line.find(what) != std::string::npos; });
}

std::vector<Check> checks_of(const std::string& text) { return predict_without_field(scene_of(text)).checks; }

}  // namespace cabinfield::test
