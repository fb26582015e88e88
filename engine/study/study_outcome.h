// All that a study found, as plain values.
//
// Letters: V variants, M measures, S seats, A axes, L leading variants (and the present one), C channels, B
// bands, Q painted points, F frequencies. NaN: there is no such value.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/quantiles.h"
#include "base/table.h"
#include "listening/contributions.h"
#include "listening/judge.h"

namespace cabinfield {

/// A variant among the leading ones, looked at more closely.
struct LeadingVariant {
  std::uint64_t variant = 0;
  std::string label;
  std::vector<std::string> channel;  ///< its own
  std::vector<std::string> broken;   ///< limits in words
  Table<double, 2> response_db;      ///< [S,F] of the mono sum, after what is done before judging
  Contributions contributions;       ///< of the mono sum
  std::vector<double> added_delay_s, added_gain_db;  ///< [C] by what is done before judging
  std::vector<SampleBand> value;                     ///< [M] over the draws; empty where there are none
  Table<double, 3> band_level_db;           ///< [S,B,3] third octaves over the draws: 10, 50, 90 %; or empty
  std::size_t times_best = 0;               ///< draws in which it is the best of the leading ones
  std::optional<std::size_t> times_better;  ///< draws in which it beats the present one
};

struct ImpossibleVariant {
  std::uint64_t variant = 0;
  std::string why;
};

/// A painted surface: points, their triangles, the measure at each.
struct PlacementMap {
  std::vector<Vector3> point_m;              ///< [Q]
  std::vector<std::array<int, 3>> triangle;  ///< of neighbouring points
  std::vector<double> value;                 ///< [Q]
  std::vector<double> at_seat;               ///< [Q,S]
  std::vector<std::string> why_not;          ///< [Q] why there is no value; else ""
};

struct StudyOutcome {
  std::vector<double> value;         ///< [V,M]
  std::vector<double> at_seat;       ///< [V,M,S]
  std::vector<double> detail;        ///< [V,M,S]
  std::vector<Score> score;          ///< [V]
  std::vector<std::size_t> ranking;  ///< possible variants, the best first
  std::vector<ImpossibleVariant> impossible;
  std::vector<LeadingVariant> leading;  ///< the best first, the present one last where it is not among them
  std::size_t samples = 0;
  std::optional<PlacementMap> placement_map;
  std::size_t cabins_solved = 0;
};

}  // namespace cabinfield
