#include "material/panel.h"

#include <cmath>
#include <stdexcept>

#include "base/constants.h"

namespace cabinfield {

Complex panel_admittance(const Panel& panel, const Air& air, double frequency_hz) {
  if (!(panel.surface_density_kg_m2 > 0 && panel.resonance_hz > 0 && panel.loss_factor > 0))
    throw std::invalid_argument("a panel needs surface density, resonance and loss factor greater than 0");
  const double omega = 2.0 * pi * frequency_hz;
  const double omega0 = 2.0 * pi * panel.resonance_hz;
  const double m = panel.surface_density_kg_m2;
  const double r = panel.loss_factor * m * omega0;
  // Y = j omega / (s - omega^2 m + j omega r), made real below the line: finite at 0 Hz, and its real part a
  // square.
  const double stiffness_less_inertia = m * (omega0 - omega) * (omega0 + omega);
  const double scale = air.characteristic_impedance() /
                       (stiffness_less_inertia * stiffness_less_inertia + omega * omega * r * r);
  return {scale * omega * omega * r, scale * omega * stiffness_less_inertia};
}

}  // namespace cabinfield
