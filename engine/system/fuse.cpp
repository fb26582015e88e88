#include "system/fuse.h"

#include <algorithm>
#include <cmath>

namespace cabinfield {

const std::vector<double>& fuse_steps_a() {
  static const std::vector<double> steps{1,   2,   3,   4,   5,   7.5, 10,  15,  20,  25,
                                         30,  35,  40,  50,  60,  70,  80,  100, 125, 150,
                                         175, 200, 225, 250, 300, 350, 400, 450, 500};
  return steps;
}

std::optional<double> cable_fuse_a(double continuous_a, double cable_limit_a) {
  for (double step : fuse_steps_a())
    if (step * fuse_continuous_part >= continuous_a)
      return step <= cable_limit_a ? std::optional(step) : std::nullopt;
  return std::nullopt;
}

bool is_fuse_step(double rating_a) {
  return std::any_of(fuse_steps_a().begin(), fuse_steps_a().end(),
                     [&](double step) { return std::abs(step - rating_a) < 1e-9 * step; });
}

}  // namespace cabinfield
