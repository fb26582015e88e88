#include "material/piston_radiation.h"

#include <cmath>

#include "base/constants.h"

namespace cabinfield {

Complex piston_radiation(double ka) {
  const double x = 2 * ka;
  if (x > 16) {
    // Struve's function minus Neumann's, Abramowitz & Stegun 12.1.31.
    const double u = 1 / (x * x);
    const double difference = 2 / pi * (1 + u * (1 - u * (3 - u * (45 - u * 1575))));
    return {1 - std::cyl_bessel_j(1, x) / ka, (std::cyl_neumann(1, x) + difference) / ka};
  }
  // R1 = x^2/(2 4) - x^4/(2 4^2 6) + ..., X1 = 4/pi (x/3 - x^3/(3^2 5) + ...): no difference of near equals
  // at small x.
  double real_term = x * x / 8;
  double imaginary_term = 4 / pi * x / 3;
  double real = 0, imaginary = 0;
  for (int n = 2; n < 80; ++n) {
    real += real_term;
    imaginary += imaginary_term;
    real_term *= -x * x / (2.0 * n * (2.0 * n + 2));
    imaginary_term *= -x * x / ((2.0 * n - 1) * (2.0 * n + 1));
  }
  return {real, imaginary};
}

}  // namespace cabinfield
