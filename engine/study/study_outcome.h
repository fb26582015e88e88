// The outcome of a study, as plain values.
//
// Letters: V variants, M measures, S seats, A axes, L leading variants (and the present one), C channels, B
// bands, Q points of the placement map, F frequencies. NaN: no such value.
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

/// Details of one of the leading variants.
struct LeadingVariant {
  std::uint64_t variant = 0;
  std::string label;
  std::vector<std::string> channel;  ///< [C] names
  std::vector<std::string> broken;   ///< limits that it breaks, as text
  Table<double, 2> response_db;      ///< [S,F] of the mono sum, after alignment and level matching
  Contributions contributions;       ///< of the mono sum
  std::vector<double> added_delay_s, added_gain_db;  ///< [C] by alignment and level matching
  std::vector<SampleBand> value;                     ///< [M] over the samples; empty without samples
  Table<double, 3> band_level_db;  ///< [S,B,3] third octaves, 10, 50 and 90 % of the samples; or empty
  std::size_t times_best = 0;      ///< samples in which it is the best of the leading variants
  std::optional<std::size_t> times_better;  ///< samples in which it beats the present variant
};

struct ImpossibleVariant {
  std::uint64_t variant = 0;
  std::string why;
};

/// A measure with the driver at each point of a surface.
struct PlacementMap {
  std::vector<Vector3> point_m;              ///< [Q]
  std::vector<std::array<int, 3>> triangle;  ///< indices of neighbouring points
  std::vector<double> value;                 ///< [Q]
  std::vector<double> at_seat;               ///< [Q,S]
  std::vector<std::string> why_not;          ///< [Q] reason for a missing value; else ""
};

struct StudyOutcome {
  std::vector<double> value;         ///< [V,M]
  std::vector<double> at_seat;       ///< [V,M,S]
  std::vector<double> detail;        ///< [V,M,S]
  std::vector<Score> score;          ///< [V]
  std::vector<std::size_t> ranking;  ///< possible variants, best first
  std::vector<ImpossibleVariant> impossible;
  std::vector<LeadingVariant>
      leading;  ///< best first; the present variant last where it is not among the best
  std::size_t samples = 0;
  std::optional<PlacementMap> placement_map;
  std::size_t cabins_solved = 0;
};

}  // namespace cabinfield
