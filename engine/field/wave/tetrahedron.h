// Volume and barycentric gradients of a straight-sided tetrahedron with corners a, b, c, d.
#pragma once

#include <array>

#include "base/vector.h"

namespace cabinfield {

/// (b - a) x (c - a) . (d - a)/6: positive where b, c, d run counter-clockwise seen from a's far side.
inline double tetrahedron_volume_m3(const Vector3& a, const Vector3& b, const Vector3& c, const Vector3& d) {
  return (b - a).cross(c - a).dot(d - a) / 6;
}

/// Gradients of the barycentric coordinates L_0 .. L_3, constant over the tetrahedron. The gradient of each
/// is normal to the face opposite its corner, of length one over the height (Zienkiewicz & Taylor, The Finite
/// Element Method, vol. 1, from memory).
struct BarycentricGradients {
  std::array<Vector3, 4> gradient_per_m;
  double volume_m3 = 0;
};

inline BarycentricGradients barycentric_gradients(const Vector3& a, const Vector3& b, const Vector3& c,
                                                  const Vector3& d) {
  const Vector3 ab = b - a, ac = c - a, ad = d - a;
  const double six_volumes = ab.cross(ac).dot(ad);
  BarycentricGradients result;
  auto& gradient = result.gradient_per_m;
  gradient[1] = ac.cross(ad) / six_volumes;
  gradient[2] = ad.cross(ab) / six_volumes;
  gradient[3] = ab.cross(ac) / six_volumes;
  gradient[0] = -(gradient[1] + gradient[2] + gradient[3]);
  result.volume_m3 = six_volumes / 6;
  return result;
}

}  // namespace cabinfield
