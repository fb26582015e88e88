// From measures to a score in points, and to the limits that are broken.
//
// The score is the sum over the measures of weight * merit. A weight is points per unit (per dB, per mm, per
// degree, per percent); the merit is the value of a measure that is better large, minus the value of one that
// is better small, minus the distance from its aim of one that is best near a value (the side angle and the
// path difference from 0). So a weight of 2 on evenness says: a decibel evener is worth two points, and that
// holds anywhere on the scale; the difference of two scores does not change with the level of both. Higher
// scores are better; their zero means nothing.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "listening/measure_kinds.h"

namespace cabinfield {

/// What one measure counts for. Limits hold for its value over the seats; of a measure that is better near
/// zero, for its magnitude.
struct Judgement {
  Better better = Better::small;
  std::optional<double> aim;  ///< best near this value instead
  double weight = 0;          ///< points per unit, 0 or more
  std::optional<double> at_least, at_most;
};
/// As its kind has it, without weight or limits.
Judgement judgement_of(MeasureKind kind);

/// What is wrong with it, without its place; empty where nothing is.
std::optional<std::string> judgement_problem(const Judgement& judgement);

/// Points of one value; 0 without weight, NaN where the value is.
double points(const Judgement& judgement, double value);
/// A value that does not exist keeps no limit.
bool keeps_limits(const Judgement& judgement, double value);

struct Score {
  double points = 0;       ///< NaN where a weighted value does not exist
  std::size_t broken = 0;  ///< limits that do not hold
};
/// One judgement a value. `broken_elsewhere` are limits that no measure tells (fits the opening).
Score score_of(std::span<const Judgement> judgements, std::span<const double> values,
               std::size_t broken_elsewhere = 0);
/// Indices of the judgements whose limits the values break.
std::vector<std::size_t> broken_limits(std::span<const Judgement> judgements, std::span<const double> values);
/// "evenness 4.2 dB, at most 3 dB"; in words of the kind, for one broken limit.
std::string limit_words(MeasureKind kind, const Judgement& judgement, double value);

}  // namespace cabinfield
