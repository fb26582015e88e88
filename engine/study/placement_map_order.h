// Ranks the points of a placement map.
#pragma once

#include <vector>

#include "study/study.h"
#include "study/study_outcome.h"

namespace cabinfield {

/// Indices of the points that have a value, best first by the request's judgement; ties keep their order.
std::vector<std::size_t> best_points_first(const PlacementMapRequest& request,
                                           const PlacementMap& placement_map);

}  // namespace cabinfield
