#include "field/images/screen.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "base/constants.h"

namespace cabinfield {

double screen_loss_db(double fresnel_number) {
  constexpr double most_db = 24;
  const double root = std::sqrt(2 * pi * std::max(0.0, fresnel_number));
  const double ratio = root < 1e-6 ? 1.0 : root / std::tanh(root);
  return std::min(most_db, 5 + 20 * std::log10(ratio));
}

void screen_factor(double detour_m, std::span<const double> wavenumber_per_m, std::span<double> factor) {
  for (std::size_t f = 0; f < wavenumber_per_m.size(); ++f)
    factor[f] = std::pow(10, -screen_loss_db(wavenumber_per_m[f] * detour_m / pi) / 20);
}

}  // namespace cabinfield
