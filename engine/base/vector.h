// Points and directions: x rearward, y to the vehicle's right, z up, metres (ISO 4130).
#pragma once

#include <Eigen/Core>
#include <Eigen/Geometry>
#include <complex>

namespace cabinfield {

using Vector2 = Eigen::Vector2d;
using Vector3 = Eigen::Vector3d;
using Complex = std::complex<double>;

}  // namespace cabinfield
