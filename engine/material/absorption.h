// From random-incidence absorption coefficients to a real specific admittance.
//
// A locally reacting surface of real specific impedance zeta = Z/(rho c) absorbs at angle theta
//   alpha(theta) = 4 zeta cos(theta) / (1 + zeta cos(theta))^2,
// and in a diffuse field (Paris, Phil. Mag. 5 (1928) 489; Kuttruff, Room Acoustics, section 2.5)
//   alpha = integral of alpha(theta) sin(2 theta), 0 to pi/2 = 8/zeta^2 (1 + zeta - 1/(1 + zeta) - 2 ln(1 +
//   zeta)).
// Two impedances have the same coefficient; the larger, that of a hard surface, is used.
#pragma once

#include <map>
#include <vector>

namespace cabinfield {

/// Hz -> random-incidence absorption coefficient, 0 to 1. At least one band.
using AbsorptionTable = std::map<double, double>;

/// The greatest random-incidence absorption of a real impedance, and the specific impedance that has it.
inline constexpr double greatest_real_absorption = 0.9512220138444178;
inline constexpr double specific_impedance_at_greatest_absorption = 1.5669241690348445;

/// Random-incidence absorption of a surface with real zeta > 0.
double random_incidence_absorption(double zeta);

/// The larger real root zeta >= 1.566924 with that absorption; clamps above the greatest value, infinity at
/// or below zero.
double specific_impedance_of_absorption(double absorption);

/// Specific admittance beta = 1/zeta at each frequency (Hz, >= 0).
/// Between bands log beta is linear over log f; next to a band of zero absorption, which is rigid, beta
/// itself is linear. Above the highest band beta is constant. Below the lowest it is proportional to f: a
/// constant would be a resistive leak at DC and remove the pressure gain of a closed cabin. Throws
/// std::invalid_argument for an empty table, a band at or below 0 Hz, or a coefficient outside 0 to 1.
std::vector<double> absorption_admittance(const AbsorptionTable& table,
                                          const std::vector<double>& frequency_hz);

}  // namespace cabinfield
