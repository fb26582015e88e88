// Radiation impedance of a flat circular piston, or of the air in a round opening, e^{+j omega t}.
#pragma once

#include "base/vector.h"

namespace cabinfield {

/// Specific radiation impedance R1 + j X1 of a circular piston in a rigid plane, ka >= 0 wavenumber times
/// radius (Beranek & Mellow, Acoustics: Sound Fields and Transducers, equations 13.117 and 13.118):
///   R1 = 1 - J1(2ka)/ka,  X1 = H1(2ka)/ka,
/// H1 being Struve's function. For small ka: (ka)^2/2 + j 8 ka/(3 pi), the end correction 0.85 a of a flanged
/// opening. Relative error below 1e-6.
Complex piston_radiation(double ka);

}  // namespace cabinfield
