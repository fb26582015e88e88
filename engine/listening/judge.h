// Scores in points and broken limits from measures.
//
// The score is the sum over the measures of weight * merit. A weight is points per unit (per dB, per mm, per
// degree, per percent); the merit is the value of a measure that is better large, minus the value of one that
// is better small, minus the distance from its aim of one that is best near a value (the side angle and the
// path difference from 0). A weight of 2 on the response deviation (`evenness`) makes a decibel less
// deviation worth two points, anywhere on the scale. Higher scores are better; their zero has no meaning.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "listening/measure_kinds.h"

namespace cabinfield {

/// Weight and limits of one measure. Limits apply to its value over the seats, or to the magnitude of a
/// measure that is better near zero.
struct Judgement {
  Better better = Better::small;
  std::optional<double> aim;  ///< best near this value instead
  double weight = 0;          ///< points per unit, 0 or more
  std::optional<double> at_least, at_most;
};
/// The judgement of a kind, without weight or limits.
Judgement judgement_of(MeasureKind kind);

/// What is wrong with it, without the location; empty if valid.
std::optional<std::string> judgement_problem(const Judgement& judgement);

/// Points of one value; 0 without weight, NaN where the value is.
double points(const Judgement& judgement, double value);
/// False for a missing value (NaN) where there is a limit.
bool keeps_limits(const Judgement& judgement, double value);

struct Score {
  double points = 0;       ///< NaN where a weighted value does not exist
  std::size_t broken = 0;  ///< number of broken limits
};
/// One judgement a value. `broken_elsewhere` counts limits beyond the measures (openings that do not fit).
Score score_of(std::span<const Judgement> judgements, std::span<const double> values,
               std::size_t broken_elsewhere = 0);
/// Indices of the judgements whose limits the values break.
std::vector<std::size_t> broken_limits(std::span<const Judgement> judgements, std::span<const double> values);
/// "evenness 4.2 dB, at most 3 dB": the text of one broken limit.
std::string limit_words(MeasureKind kind, const Judgement& judgement, double value);

}  // namespace cabinfield
