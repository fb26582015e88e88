// Directivity of drivers, relative to a point source of the same volume velocity.
//
// Piston in an infinite baffle: D = 2 J1(ka sin psi)/(ka sin psi), without the half-space factor 2, which
// belongs to the wall (Beranek & Mellow, Acoustics, 13.7). Time convention e^{+j omega t}.
//
// Piston in a rigid sphere of the pod's radius b: the series of Morse & Ingard, Theoretical Acoustics,
// sec. 7.2, for a cap of the piston's radius a = b sin theta0. There the cap has a uniform radial velocity,
// like a dome, and its curvature spoils the beam (a/b = 0.7, ka = 13: 0.36 on axis instead of 2). The mouth
// of a cone is flat: here the cap moves as the plane wave of a flat piston across its edge would drive it,
//   u(mu) = u0 mu e^{-j k b (mu - cos theta0)},  mu = cos theta from cos theta0 to 1,
// which is equivalent for small k b (1 - cos theta0) and preserves the beam of a flat piston otherwise.
#pragma once

#include <span>
#include <vector>

#include "base/vector.h"

namespace cabinfield {

/// 2 J1(x)/x at x = k radius |sin psi|, to 1e-10, from a table in one pass, for innermost loops. The spans
/// have one length; wavenumbers >= 0. Above x = 64 the library's Bessel function is used.
void piston_directivity(double radius_m, double sine_psi, std::span<const double> wavenumber_per_m,
                        std::span<double> directivity);

/// The far field of a piston in a sphere, tabulated over angle for a list of wavenumbers. Phase is referred
/// to the centre of the piston, b cos theta0 from that of the sphere, where path lengths start:
///   p = j omega rho Q D e^{-j k r}/(4 pi r), r the distance from the piston's centre.
/// D -> 1 as f -> 0; for a large sphere D -> 2 on axis and 4 J1(x)/x, x = ka sin psi, off it.
class SpherePistonDirectivity {
 public:
  /// 0 < piston_radius <= pod_radius, m (equal: a hemisphere); wavenumbers >= 0, in any order. Cost: one
  /// Legendre series a wavenumber. Throws std::invalid_argument on other radii or wavenumbers.
  SpherePistonDirectivity(double piston_radius_m, double pod_radius_m,
                          const std::vector<double>& wavenumber_per_m);

  /// D at the angle (radians from the axis, 0 to pi; beyond, the nearer end) for every wavenumber,
  /// interpolated in angle to 1e-3 of the peak. The span is as long as the list of wavenumbers.
  void evaluate(double psi_rad, std::span<Complex> directivity) const;

 private:
  Eigen::Index intervals_ = 0;
  // [wavenumber, angle], so that evaluate combines four contiguous columns.
  Eigen::MatrixXcd table_;
};

}  // namespace cabinfield
