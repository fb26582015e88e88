// Ranks the points of a placement map.
#pragma once

#include <vector>

#include "study/study.h"
#include "study/study_outcome.h"

namespace cabinfield {

/// Points that have a value, the best by the request's judgement first; ties keep their order.
std::vector<std::size_t> best_points_first(const PlacementMapRequest& request,
                                           const PlacementMap& placement_map);

}  // namespace cabinfield
