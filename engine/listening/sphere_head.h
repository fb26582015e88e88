// The head as a rigid sphere: pressure at a point on its surface in the field of a source.
//
// Duda & Martens, "Range dependence of the response of a spherical head model", J. Acoust. Soc. Am. 104
// (1998) 3048, and Rayleigh's solution behind it (Theory of Sound II, sec. 328). H is the pressure at the
// point over that of the same source at the position of the sphere's centre without the sphere:
//   H = -(rho/x) e^{jkr} sum_n (2n + 1) P_n(cos theta) h_n(kr)/h_n'(x),   x = k a, rho = r/a,
//   H = sum_n j^n (2n + 1) P_n(cos theta)/(j x^2 h_n'(x))                 for a far source,
// a the sphere's radius, r the source's distance from its centre, theta between the directions from the
// centre to the source and to the point. Time convention e^{+j omega t}: h_n is the Hankel function of the
// second kind; the paper, with e^{-i omega t}, uses the first. Phase is referred to the centre: at an ear
// that faces the source it is positive.
//
// The pressure at an ear is p(centre, no head) H, with path lengths to the centre of the head.
//
// Low frequency: H = 1 + (3/2) j x cos theta for a far source. For a near source
//   sum_n (2n + 1)/(n + 1) rho^{-n} P_n(cos theta)   remains at f = 0.
// High frequency: 2 e^{jx} on axis; a bright spot directly behind.
//
// Known limits: no pinnae, shoulders or hair; the ears are at opposite ends of a diameter (as in the paper;
// in people they are slightly behind it).
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
  /// Smallest distance of a source from the centre, in radii.
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
  // [wavenumber, angle], so that evaluate combines four contiguous columns.
  Eigen::MatrixXcd table_;
};

}  // namespace cabinfield
