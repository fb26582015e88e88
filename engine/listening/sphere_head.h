// The head as a rigid sphere: what stands at a point on its surface when a source sends sound past it.
//
// Duda & Martens, "Range dependence of the response of a spherical head model", J. Acoust. Soc. Am. 104
// (1998) 3048, and Rayleigh's solution behind it (Theory of Sound II, sec. 328). H is the pressure at the
// point over that which the same source would give at the sphere's centre were the sphere not there:
//   H = -(rho/x) e^{jkr} sum_n (2n + 1) P_n(cos theta) h_n(kr)/h_n'(x),   x = k a, rho = r/a,
//   H = sum_n j^n (2n + 1) P_n(cos theta)/(j x^2 h_n'(x))                 for a far source,
// a the sphere's radius, r the source's distance from its centre, theta between the directions from the
// centre to the source and to the point. Time convention e^{+j omega t}: h_n is the Hankel function of the
// second kind, where the paper, which has e^{-i omega t}, takes the first. Phase is referred to the centre:
// an ear that faces the source hears it early, and its phase is positive.
//
// So the pressure at an ear is p(centre, no head) H, with path lengths counted to the centre of the head.
//
// Low frequency: H = 1 + (3/2) j x cos theta for a far source. A near one keeps
//   sum_n (2n + 1)/(n + 1) rho^{-n} P_n(cos theta)   down to f = 0.
// High frequency: 2 e^{jx} on axis; a bright spot straight behind.
//
// Known limits: no ear lobes, no shoulders, no hair; the ears are at opposite ends of a diameter (the paper's
// own choice of model; in people they lie a little behind it).
#pragma once

#include <limits>
#include <span>
#include <vector>

#include "base/constants.h"
#include "base/vector.h"

namespace cabinfield {

/// H over the angle of incidence, for a list of wavenumbers and one distance of the source.
class SphereHead {
 public:
  static constexpr double far_away_m = std::numeric_limits<double>::infinity();
  /// A source nearer than this, in radii from the centre, all but touches the sphere.
  static constexpr double least_distance_radii = 1.05;

  /// Wavenumbers >= 0 in 1/m, in any order; radius > 0; distance from the centre at least 1.05 radii or
  /// far_away_m. Throws std::invalid_argument otherwise.
  explicit SphereHead(const std::vector<double>& wavenumber_per_m, double radius_m = head_radius_m,
                      double distance_m = far_away_m);

  /// H at the angle of incidence (radians: 0 towards the source, pi away from it; even about both) for every
  /// wavenumber, interpolated in angle to 1e-3 of the peak. The span is as long as the list of wavenumbers.
  void evaluate(double angle_rad, std::span<Complex> pressure) const;

 private:
  Eigen::Index intervals_ = 0;
  // A wavenumber a row, an angle a column, so that evaluate mixes four runs of memory.
  Eigen::MatrixXcd table_;
};

}  // namespace cabinfield
