#include "field/wave/cabin_modes.h"

#include <algorithm>
#include <cmath>

#include "base/constants.h"

namespace cabinfield {
namespace {

/// A step of the way from rigid walls (0) to the materials as they are (1).
Complex softened(WaveTerm::Kind kind, Complex property, double step) {
  const bool volume = kind == WaveTerm::Kind::stiffness || kind == WaveTerm::Kind::mass;
  return volume ? 1.0 + step * (property - 1.0) : step * property;
}

struct Follower {
  const WaveMatrices& matrices;
  const Cabin& cabin;
  const WaveMedium& medium;
  ReducedSystem system;

  Follower(const ReducedCabin& reduced, const WaveMatrices& of_cabin, const Cabin& shape,
           const WaveMedium& stuff)
      : matrices(of_cabin),
        cabin(shape),
        medium(stuff),
        // Enough frequencies to tell any two materials apart.
        system(matrices.terms(), reduced.projected,
               medium.properties(matrices, cabin, {17, 41, 83, 131, 211, 397})) {}

  /// Properties of each group at the frequency that belongs to a complex wavenumber.
  std::vector<Complex> properties(Complex k) const {
    const double frequency_hz = std::max(0.1, k.real() * medium.air.sound_speed_m_s / (2 * pi));
    const Table<Complex, 2> property = medium.properties(matrices, cabin, {frequency_hz});
    std::vector<Complex> of_groups;
    for (const ReducedSystem::Group& group : system.groups()) of_groups.push_back(property(group.term, 0));
    return of_groups;
  }

  /// From rigid walls to the materials as they are, in steps short enough not to lose the mode to a
  /// neighbour: its shape must stay nearly what it was. False where the shortest step does.
  bool follow(Complex& k, Eigen::VectorXcd& shape) const {
    constexpr double shortest = 0.01, likeness = 0.85, furthest = 0.12;
    double at = 0, step = 0.2;
    while (at < 1) {
      const double to = std::min(1.0, at + step);
      Complex next_k = k;
      Eigen::VectorXcd next_shape = shape;
      const bool same = settle(next_k, next_shape, to) && std::abs(shape.dot(next_shape)) > likeness &&
                        std::abs(next_k - k) < furthest * std::abs(k);
      if (same) {
        k = next_k;
        shape = next_shape;
        at = to;
        step *= 1.5;
      } else if ((step *= 0.4) < shortest) {
        return false;
      }
    }
    return true;
  }

  /// Newton's iteration at one step; false where it does not settle.
  bool settle(Complex& k, Eigen::VectorXcd& shape, double step) const {
    for (int iteration = 0; iteration < 15; ++iteration) {
      const std::vector<Complex> property = properties(k);
      std::vector<Complex> value, slope;
      for (std::size_t g = 0; g < property.size(); ++g) {
        const WaveTerm::Kind kind = system.groups()[g].kind;
        value.push_back(term_weight(kind, softened(kind, property[g], step), k));
        const double power = kind == WaveTerm::Kind::stiffness ? 0 : kind == WaveTerm::Kind::mass ? 2 : 1;
        slope.push_back(power / k * value.back());
      }
      Eigen::MatrixXcd next = Eigen::VectorXcd::Zero(shape.size());
      for (std::size_t g = 0; g < slope.size(); ++g)
        if (slope[g] != Complex(0)) {
          next.real() += system.groups()[g].sum * (slope[g] * shape).real();
          next.imag() += system.groups()[g].sum * (slope[g] * shape).imag();
        }
      if (!solve_dense(system.weighed(value), next)) return false;
      const Complex along = shape.dot(next.col(0));
      if (!std::isfinite(std::abs(along)) || along == Complex(0)) return false;
      const Complex move = -shape.squaredNorm() / along;
      k += move;
      shape = next.col(0).normalized();
      if (!(k.real() > 0) || k.imag() < -1e-9) return false;
      // A thousandth is more than is known of any material.
      if (std::abs(move) < (step < 1 ? 1e-3 : 1e-4) * std::abs(k)) return true;
    }
    return false;
  }
};

}  // namespace

std::vector<CabinMode> cabin_modes(const ReducedCabin& reduced, const QuadraticSpace& space,
                                   const WaveMatrices& matrices, const Cabin& cabin, const WaveMedium& medium,
                                   double top_hz) {
  const double to_hz = medium.air.sound_speed_m_s / (2 * pi);
  std::vector<std::size_t> chosen;
  for (std::size_t m = 0; m < reduced.mode_wavenumber_per_m.size(); ++m) {
    const double frequency_hz = reduced.mode_wavenumber_per_m[m] * to_hz;
    if (frequency_hz > 1 && frequency_hz <= top_hz) chosen.push_back(m);
  }
  std::vector<CabinMode> modes(chosen.size());
  const Follower follower(reduced, matrices, cabin, medium);
  parallel_for(chosen.size(), [&](std::size_t i) {
    CabinMode& mode = modes[i];
    const double rigid = reduced.mode_wavenumber_per_m[chosen[i]];
    mode.rigid_hz = rigid * to_hz;
    const Eigen::VectorXd start = reduced.mode.col(static_cast<Eigen::Index>(chosen[i]));

    Complex k = rigid;
    Eigen::VectorXcd shape = start.cast<Complex>().normalized();
    const bool found = follower.follow(k, shape);
    if (!found) {
      const std::vector<Complex> property = follower.properties(rigid);
      Complex change = 0;
      double mass = 0;
      for (std::size_t g = 0; g < property.size(); ++g) {
        const ReducedSystem::Group& group = follower.system.groups()[g];
        const double amount = start.dot(group.sum * start);
        change += amount * (term_weight(group.kind, property[g], rigid) -
                            term_weight(group.kind, softened(group.kind, property[g], 0), rigid));
        if (group.kind == WaveTerm::Kind::mass) mass += amount;
      }
      k = std::sqrt(Complex(rigid * rigid) + change / mass);
    }
    mode.damped_hz = k.real() * to_hz;
    mode.q = k.imag() > 0 ? std::abs(k) / (2 * k.imag()) : 1e6;
    mode.q = std::min(mode.q, 1e6);

    const Eigen::VectorXd pressure = reduced.basis * start;
    const double largest = pressure.cwiseAbs().maxCoeff();
    for (Eigen::Index e = 0; e < reduced.ear.cols(); ++e)
      mode.ear_level.push_back(std::abs(reduced.ear.col(e).dot(start)) / largest);
    double sum = 0;
    for (std::size_t t = 0; t < space.tetrahedra().size(); ++t) {
      const PressureGradient gradient = space.gradient_at_centre(static_cast<int>(t));
      Vector3 slope = Vector3::Zero();
      for (int n = 0; n < 10; ++n) slope += pressure[space.tetrahedra()[t][n]] * gradient.weight[n];
      for (int axis = 0; axis < 3; ++axis) mode.along[axis] += gradient.volume_m3 * slope[axis] * slope[axis];
      sum += gradient.volume_m3 * slope.squaredNorm();
    }
    for (double& share : mode.along) share /= sum;
  });
  return modes;
}

}  // namespace cabinfield
