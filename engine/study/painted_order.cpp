#include "study/painted_order.h"

#include <algorithm>
#include <cmath>

#include "listening/judge.h"

namespace cabinfield {

std::vector<std::size_t> best_points_first(const Paint& paint, const PaintedSurface& painted) {
  std::vector<std::size_t> order;
  for (std::size_t q = 0; q < painted.value.size(); ++q)
    if (!std::isnan(painted.value[q])) order.push_back(q);
  Judgement by = paint.judge_by.judgement;
  by.weight = 1;  // one that only looks on in the ranking still tells good from bad
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return points(by, painted.value[a]) > points(by, painted.value[b]);
  });
  return order;
}

}  // namespace cabinfield
