#include "listening/judge.h"

#include <fmt/format.h>

#include <cassert>
#include <cmath>

namespace cabinfield {
namespace {

double limited(const Judgement& judgement, double value) {
  return judgement.better == Better::near_zero ? std::abs(value) : value;
}

}  // namespace

Judgement judgement_of(MeasureKind kind) {
  Judgement judgement;
  judgement.better = declaration_of(kind).better;
  return judgement;
}

std::optional<std::string> judgement_problem(const Judgement& judgement) {
  if (!(judgement.weight >= 0 && std::isfinite(judgement.weight))) return "a weight must be 0 or more";
  if (judgement.at_least && judgement.at_most && *judgement.at_least > *judgement.at_most)
    return fmt::format("no value is at least {:g} and at most {:g}", *judgement.at_least, *judgement.at_most);
  return std::nullopt;
}

double points(const Judgement& judgement, double value) {
  if (judgement.weight == 0) return 0;
  if (judgement.aim) return -judgement.weight * std::abs(value - *judgement.aim);
  switch (judgement.better) {
    case Better::large:
      return judgement.weight * value;
    case Better::small:
      return -judgement.weight * value;
    case Better::near_zero:
      return -judgement.weight * std::abs(value);
  }
  return 0;
}

bool keeps_limits(const Judgement& judgement, double value) {
  const double size = limited(judgement, value);
  return (!judgement.at_least || size >= *judgement.at_least) &&
         (!judgement.at_most || size <= *judgement.at_most);
}

Score score_of(std::span<const Judgement> judgements, std::span<const double> values,
               std::size_t broken_elsewhere) {
  assert(judgements.size() == values.size());
  Score score{0, broken_elsewhere};
  for (std::size_t m = 0; m < judgements.size(); ++m) {
    score.points += points(judgements[m], values[m]);
    if (!keeps_limits(judgements[m], values[m])) ++score.broken;
  }
  return score;
}

std::vector<std::size_t> broken_limits(std::span<const Judgement> judgements,
                                       std::span<const double> values) {
  assert(judgements.size() == values.size());
  std::vector<std::size_t> broken;
  for (std::size_t m = 0; m < judgements.size(); ++m)
    if (!keeps_limits(judgements[m], values[m])) broken.push_back(m);
  return broken;
}

std::string limit_words(MeasureKind kind, const Judgement& judgement, double value) {
  const MeasureDeclaration& declared = declaration_of(kind);
  const double size = limited(judgement, value);
  std::string words(declared.name);
  words += std::isnan(size) ? " has no value" : fmt::format(" {:.1f} {}", size, declared.unit);
  if (judgement.at_least && !(size >= *judgement.at_least))
    words += fmt::format(", at least {:g} {}", *judgement.at_least, declared.unit);
  if (judgement.at_most && !(size <= *judgement.at_most))
    words += fmt::format(", at most {:g} {}", *judgement.at_most, declared.unit);
  return words;
}

}  // namespace cabinfield
