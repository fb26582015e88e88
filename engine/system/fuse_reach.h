// What a short at either end of a cable can draw through the rest of the plan before a fuse ends it.
//
// Paths lead over cables from every battery and from the alternator, neither of which ends a short. The
// lowest fuse of a path limits it, a charger (one way alone) what it puts out at most. Of all paths to a node
// the one that lets most through counts, the cable itself left out. Paths over several fuses are not added
// up: a short draws far more than each of them carries. An overload that they share is not told by this.
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

/// What of it passes a fuse, if there is one, A.
double passes_fuse_a(double reach_a, const std::optional<double>& fuse_a);

}  // namespace cabinfield
