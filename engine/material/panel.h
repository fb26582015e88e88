// A flexible panel that vibrates against outside air, as a locally reacting surface, e^{+j omega t}:
//   Y = v/p = 1/(j omega m + r + s/(j omega)),  s = m omega0^2,  r = eta m omega0 = m omega0 / Q,
// with m the mass per area, omega0 the resonance as mounted and eta the loss factor at resonance (Cremer,
// Heckl & Petersson, Structure-Borne Sound; Kuttruff, Room Acoustics, section 2.4). Its first mode only; the
// load of the outside air is part of m and r.
#pragma once

#include "base/air.h"
#include "base/vector.h"

namespace cabinfield {

/// All three > 0.
struct Panel {
  double surface_density_kg_m2 = 0;
  double resonance_hz = 0;
  double loss_factor = 0;
  bool operator==(const Panel&) const = default;
};

/// Specific admittance rho c Y at a frequency (Hz, >= 0). Real part never negative; zero at 0 Hz.
/// Throws std::invalid_argument if a property of the panel is not > 0.
Complex panel_admittance(const Panel& panel, const Air& air, double frequency_hz);

}  // namespace cabinfield
