// Which points of a painted surface are best.
#pragma once

#include <vector>

#include "study/study.h"
#include "study/study_outcome.h"

namespace cabinfield {

/// Points of the surface that have a value, the best by the study's paint first; ties in their order.
std::vector<std::size_t> best_points_first(const PlacementMapping& placement_map, const PlacementMap& placement_map);

}  // namespace cabinfield
