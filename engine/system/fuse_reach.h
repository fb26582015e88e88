// What a short at either end of a cable can draw through the rest of the plan for good, before a fuse ends
// it.
//
// Batteries feed a short without end, the alternator with its rated current at most (it limits itself: common
// practice, no source; without end where the plan gives none), a charger with its output current and one way
// alone. Fuses of paths in parallel add up: each carries its rating. So the current is the greatest flow from
// all sources to that end, the cable itself left out, where a cable carries as much as its lower fuse (Ford &
// Fulkerson, Canadian J. Math. 8 (1956) 399, from memory).
#pragma once

#include <vector>

#include "system/plan.h"

namespace cabinfield {

/// A at each end of a cable, before its own fuse there: infinite where no fuse limits it, 0 where nothing
/// feeds that end but the cable itself.
struct CableReach {
  double start_a = 0, end_a = 0;
};
/// Of every cable of the plan.
std::vector<CableReach> fuse_reach(const SupplyPlan& plan);

/// A that a fuse at a node of that reach lets through; infinite where there is neither a fuse nor a limit.
double passes_fuse_a(double reach_a, const std::optional<double>& fuse_a);

}  // namespace cabinfield
