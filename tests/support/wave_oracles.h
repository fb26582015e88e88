// Reference solutions of simple sound fields, e^{+j omega t}, independent of the engine's solvers. k =
// omega/c.
#pragma once

#include <array>
#include <functional>
#include <vector>

#include "base/air.h"
#include "base/vector.h"
#include "material/panel.h"

namespace cabinfield::test {

/// Pressure per volume velocity in a closed rigid cabin as frequency goes to 0: rho c^2/(j omega V), Pa s/m3.
/// A cabin's first mode f1 leaves a deviation of the order of (f/f1)^2, and the near field of the source one
/// of rho omega/(4 pi r).
Complex vessel_pressure(double volume_m3, const Air& air, double frequency_hz);

/// The first modes of a closed rigid box, Hz, rising, without the one at 0: c/2 |(l/Lx, m/Ly, n/Lz)|.
std::vector<double> rigid_box_modes(const Vector3& size_m, const Air& air, int count);

/// Pressure at the ear per volume velocity at the source in a closed rigid box with a corner at the origin:
/// j omega rho/V sum of phi(source) phi(ear)/(norm (k_lmn^2 - k^2)) over the modes up to a frequency (Morse &
/// Ingard, Theoretical Acoustics, section 9.5). What is left out falls slowly, as 1/up_to_hz or so.
Complex rigid_box_pressure(const Vector3& size_m, const Air& air, double frequency_hz, const Vector3& source,
                           const Vector3& ear, double up_to_hz);

/// k^2 of the first five rigid modes after the one at 0 of an L of three unit squares: M. Dauge, Benchmark
/// computations for Maxwell equations, the two-dimensional Neumann problem (third and fourth are pi^2).
inline constexpr std::array<double, 5> l_shape_square_wavenumbers{1.47562182408, 3.53403136678, 9.86960440109,
                                                                  9.86960440109, 11.3894793979};

/// Acoustic mass of a duct with two flanged ends: rho (L + 2 8/(3 pi) a)/S, a = sqrt(S/pi), kg/m4.
double duct_mass_kg_m4(double area_m2, double depth_m, const Air& air);

/// Resonance of a mass with the spring of a volume: sqrt(rho c^2/(V M))/(2 pi), Hz (Helmholtz; Rayleigh,
/// Theory of Sound, section 303). Exact while the volume is small against the wavelength.
double helmholtz_hz(double volume_m3, double mass_kg_m4, const Air& air);

/// The same where the volume is a duct whose whole far wall takes in the flow through the mass: the exact
/// lowest root of omega M S/(rho c) = cot(k L). To first order it is helmholtz_hz with M + rho L/(3 S): a
/// third of the air in the duct moves along (Rayleigh's correction for the spring of a pipe).
double helmholtz_in_duct_hz(double length_m, double section_m2, double mass_kg_m4, const Air& air);

/// Damped resonances of a duct, rigid at x = 0 and with a panel at x = L, below a frequency: complex f with
/// positive imaginary part, Q = |f|/(2 Im f). From p = cos(k x) and p'(L) = -j k beta p(L):
///   tan(k L) = j beta(omega),  or  (s - omega^2 m + j omega r) sin(k L) + rho c omega cos(k L) = 0.
/// Followed from the real roots of the undamped panel and counted by the argument principle; throws
/// std::runtime_error where the count is not met. The panel's loss factor must be below 2.
std::vector<Complex> panel_duct_resonances(double length_m, const Panel& panel, const Air& air,
                                           double up_to_hz);

/// Pressure behind a partition of impedance Z (Pa s/m) across a duct without end, over that of the wave that
/// meets it: 2/(2 + Z/(rho c)) (Kinsler & others, Fundamentals of Acoustics, transmission through a thin
/// wall).
Complex partition_transmission(Complex impedance, const Air& air);

/// Reflection factor at the end of a duct from the plane-wave pressures at two points before it (ISO 10534-2,
/// with s their distance, x1 that of the farther one from the end): (p2/p1 - e^{-j k s})/(e^{j k s} - p2/p1)
/// e^{2 j k x1}.
Complex two_point_reflection(Complex farther, Complex nearer, double farther_m, double nearer_m,
                             double wavenumber);

/// Where a function of frequency is greatest in an interval that holds one peak, by golden section, Hz.
double peak_hz(const std::function<double(double)>& level, double from_hz, double to_hz);

}  // namespace cabinfield::test
