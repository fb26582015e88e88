#include "field/frequency_grid.h"

#include <cmath>
#include <cstddef>

namespace cabinfield {

std::vector<double> octave_grid_hz(double from_hz, double to_hz, int per_octave) {
  std::vector<double> grid;
  for (int i = 0;; ++i) {
    const double f = from_hz * std::ldexp(std::exp2(double(i % per_octave) / per_octave), i / per_octave);
    if (f > to_hz * (1 + 1e-9)) return grid;
    grid.push_back(f);
  }
}

int octave_step(const std::vector<double>& frequency_hz) {
  const std::size_t count = frequency_hz.size();
  for (std::size_t step = 1; step < count; ++step) {
    if (frequency_hz[step] != 2 * frequency_hz[0]) continue;
    for (std::size_t i = 0; i + step < count; ++i)
      if (frequency_hz[i + step] != 2 * frequency_hz[i]) return 0;
    return static_cast<int>(step);
  }
  return 0;
}

}  // namespace cabinfield
