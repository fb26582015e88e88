#include "study/placement_map_order.h"

#include <algorithm>
#include <cmath>

#include "listening/judge.h"

namespace cabinfield {

std::vector<std::size_t> best_points_first(const PlacementMapRequest& request,
                                           const PlacementMap& placement_map) {
  std::vector<std::size_t> order;
  for (std::size_t q = 0; q < placement_map.value.size(); ++q)
    if (!std::isnan(placement_map.value[q])) order.push_back(q);
  Judgement by = request.judge_by.judgement;
  by.weight = 1;  // weight 0 in the ranking must still order the map
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return points(by, placement_map.value[a]) > points(by, placement_map.value[b]);
  });
  return order;
}

}  // namespace cabinfield
