// A closed box whose walls all have one specific admittance beta, with a point source in it, e^{+j omega t}:
// an answer in closed form but for the roots of one transcendental equation.
//
// Separation of variables (Morse & Ingard, Theoretical Acoustics, section 9.5; Kuttruff, Room Acoustics,
// section 3.3). With k = omega/c, a function of one coordinate t in [0, L] obeys p'' + kappa^2 p = 0 and
// dp/dn = -j k beta p at both ends. About the middle, h = L/2, it is even or odd:
//   even: cos(kappa (t - h)),  kappa sin(kappa h) - j k beta cos(kappa h) = 0
//   odd:  sin(kappa (t - h)),  cos(kappa h) + j k beta sin(kappa h)/kappa = 0
// Both are entire functions of kappa^2, and modes are orthogonal in the bilinear product int p q dt. Two
// coordinates are expanded in such modes; along the third, that in which source and ear are farthest apart,
// the answer of each pair of modes to a plane source between two impedance ends is closed, gamma^2 = k^2 -
// kappa_m^2 - kappa_n^2, and falls as exp(-|gamma| distance), so that the sum ends at rounding.
//
// Roots followed from those of rigid walls meet and double where beta is strong and complex. Here they are
// the eigenvalues of Chebyshev collocation (Trefethen, Spectral Methods in MATLAB, chapters 6 and 9),
// polished by Newton's method, shown to be distinct, and counted by the argument principle.
#pragma once

#include <vector>

#include "base/air.h"
#include "base/vector.h"

namespace cabinfield::test {

struct WallModes {
  std::vector<Complex> even;  ///< kappa^2, 1/m2, by rising magnitude
  std::vector<Complex> odd;
};

/// The first `count` modes of either kind between two walls `length_m` apart; wall_wavenumber is k beta, 1/m.
/// Throws std::runtime_error where roots coincide or one is missing.
WallModes wall_modes(double length_m, Complex wall_wavenumber, int count);

/// Pressure at the ear per unit volume velocity of the source, Pa s/m3. The box has a corner at the origin.
/// Source and ear at least 5 cm apart along one axis, else std::invalid_argument. Relative error about 1e-12
/// where the two are 0.3 m apart along an axis.
Complex impedance_box_pressure(const Vector3& size_m, Complex specific_admittance, const Air& air,
                               double frequency_hz, const Vector3& source, const Vector3& ear);

}  // namespace cabinfield::test
