#include "field/wave/cabin_modes.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/constants.h"
#include "field/wave/basis_algebra.h"

namespace cabinfield {
namespace {

/// Property at a step of the continuation from rigid walls (0) to the real materials (1).
Complex property_at_step(OperatorTerm::Kind kind, Complex property, double step) {
  const bool volume = kind == OperatorTerm::Kind::stiffness || kind == OperatorTerm::Kind::mass;
  return volume ? 1.0 + step * (property - 1.0) : step * property;
}

/// Follows modes from rigid walls to the real materials.
struct ModeContinuation {
  const WaveMatrices& matrices;
  const Cabin& cabin;
  const WaveMedium& medium;
  ReducedOperator system;

  ModeContinuation(const ReducedOrderModel& reduced, const WaveMatrices& of_cabin, const Cabin& shape,
                   const WaveMedium& filled_with)
      : matrices(of_cabin),
        cabin(shape),
        medium(filled_with),
        // Enough frequencies to distinguish any two materials.
        system(matrices.terms(), reduced.projected,
               medium.properties(matrices, cabin, {17, 41, 83, 131, 211, 397})) {}

  /// Properties of each group at the frequency of a complex wavenumber, computed rather than tabulated: near
  /// the resonance of a panel a 24th of an octave moves a mode by 1.5 %.
  std::vector<Complex> properties(Complex k) const {
    const double frequency_hz = std::max(0.1, k.real() * medium.air.sound_speed_m_s / (2 * pi));
    const Table<Complex, 2> property = medium.properties(matrices, cabin, {frequency_hz});
    std::vector<Complex> of_groups;
    for (const ReducedOperator::Group& group : system.groups()) of_groups.push_back(property(group.term, 0));
    return of_groups;
  }

  /// From rigid walls to the real materials, in steps short enough that the shape hardly changes, so that the
  /// iteration does not jump to a neighbouring mode. False where even the shortest step jumps.
  bool follow(Complex& k, Eigen::VectorXcd& shape, double care) const {
    const double shortest = 0.01 / care, likeness = 1 - 0.15 / care, furthest = 0.12 / care;
    double at = 0, step = 0.2 / care;
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

  /// The system at a step, with materials held constant at one frequency: a polynomial sum_n k^n part[n] in
  /// the wavenumber.
  std::array<Eigen::MatrixXcd, 3> held_at(Complex k, double step) const {
    const std::vector<Complex> property = properties(k);
    Eigen::MatrixXcd weight = Eigen::MatrixXcd::Zero(static_cast<Eigen::Index>(property.size()), 3);
    for (std::size_t g = 0; g < property.size(); ++g) {
      const OperatorTerm::Kind kind = system.groups()[g].kind;
      weight(static_cast<Eigen::Index>(g), wavenumber_power(kind)) =
          term_weight(kind, property_at_step(kind, property[g], step), 1.0);
    }
    std::vector<Eigen::MatrixXcd> part = system.weighed(weight);
    return {std::move(part[0]), std::move(part[1]), std::move(part[2])};
  }

  /// Converges the mode at a step; false where it does not converge. At the last step the materials are
  /// updated to the resulting frequency until it no longer changes.
  bool settle(Complex& k, Eigen::VectorXcd& shape, double step) const {
    for (int round = 0; round < 12; ++round) {
      const Complex before = k;
      if (!settle_held(k, shape, step)) return false;
      if (step < 1 || std::abs(k - before) < 1e-4 * std::abs(k)) return true;
    }
    return false;
  }

  /// Residual inverse iteration (Neumaier, SIAM J. Numer. Anal. 22, 1985) with the materials held constant:
  /// the matrix is factored once, near the mode, and corrects the shape repeatedly.
  bool settle_held(Complex& k, Eigen::VectorXcd& shape, double step) const {
    // Factor beside the mode, where the matrix is not singular.
    const Complex beside = k * Complex(1, 1e-3);
    const auto part = held_at(k, step);
    const DenseFactors factors(part[0] + beside * part[1] + beside * beside * part[2]);
    if (factors.singular()) return false;
    const double small = step < 1 ? 3e-3 : 3e-5;
    for (int iteration = 0; iteration < 40; ++iteration) {
      std::array<Eigen::VectorXcd, 3> product;
      std::array<Complex, 3> amount;
      for (int n : {0, 1, 2}) {
        product[n] = part[n] * shape;
        amount[n] = (shape.transpose() * product[n]).value();
      }
      // Rayleigh quotient: the wavenumber at which the residual has no component along the shape (the
      // matrices are symmetric, so left and right shapes are equal); of the two roots the one nearer to the
      // previous.
      const Complex before = k, root = std::sqrt(amount[1] * amount[1] - 4.0 * amount[2] * amount[0]),
                    one = (-amount[1] + root) / (2.0 * amount[2]),
                    other = (-amount[1] - root) / (2.0 * amount[2]);
      k = std::abs(one - before) < std::abs(other - before) ? one : other;
      if (!(k.real() > 0) || k.imag() < -1e-9 || !std::isfinite(std::abs(k))) return false;
      const Eigen::VectorXcd correction = factors.solve(product[0] + k * product[1] + k * k * product[2]);
      shape = (shape - correction).normalized();
      if (!shape.allFinite()) return false;
      // A thousandth is more accurate than any known material; intermediate steps may be looser.
      if (correction.norm() < 10 * small && std::abs(k - before) < small * std::abs(k)) return true;
    }
    return false;
  }
};

}  // namespace

std::vector<CabinMode> cabin_modes(const ReducedOrderModel& reduced, const FiniteElementSpace& space,
                                   const WaveMatrices& matrices, const Cabin& cabin, const WaveMedium& medium,
                                   double top_hz) {
  // Step 1: choose the rigid modes up to the top frequency.
  const double to_hz = medium.air.sound_speed_m_s / (2 * pi);
  std::vector<std::size_t> chosen;
  for (std::size_t m = 0; m < reduced.mode_wavenumber_per_m.size(); ++m) {
    const double frequency_hz = reduced.mode_wavenumber_per_m[m] * to_hz;
    if (frequency_hz > 1 && frequency_hz <= top_hz) chosen.push_back(m);
  }
  // Step 2: follow each to the real materials.
  std::vector<CabinMode> modes(chosen.size());
  const ModeContinuation continuation(reduced, matrices, cabin, medium);
  struct Found {
    Complex k;
    Eigen::VectorXcd shape;
    bool followed = false;
  };
  std::vector<Found> found(chosen.size());
  auto follow = [&](std::size_t i, double care) {
    Found& one = found[i];
    one.k = reduced.mode_wavenumber_per_m[chosen[i]];
    one.shape = reduced.mode.col(static_cast<Eigen::Index>(chosen[i])).cast<Complex>().normalized();
    one.followed = continuation.follow(one.k, one.shape, care);
  };
  parallel_for(chosen.size(), [&](std::size_t i) { follow(i, 1); });
  // Step 3: where two end in the same mode, at least one has jumped to a neighbour: follow both in shorter
  // steps.
  std::vector<std::size_t> again;
  for (std::size_t i = 0; i < found.size(); ++i)
    for (std::size_t j = 0; j < found.size(); ++j)
      if (i != j && found[i].followed && found[j].followed &&
          std::abs(found[i].k - found[j].k) < 1e-3 * std::abs(found[i].k) &&
          std::abs(found[i].shape.dot(found[j].shape)) > 0.9) {
        again.push_back(i);
        break;
      }
  parallel_for(again.size(), [&](std::size_t i) { follow(again[i], 4); });
  // Step 4: damped frequency and Q, levels at the ears and directions of motion.
  parallel_for(chosen.size(), [&](std::size_t i) {
    CabinMode& mode = modes[i];
    const double rigid = reduced.mode_wavenumber_per_m[chosen[i]];
    mode.rigid_hz = rigid * to_hz;
    const Eigen::VectorXd start = reduced.mode.col(static_cast<Eigen::Index>(chosen[i]));

    Complex k = found[i].k;
    if (!found[i].followed) {
      // First-order perturbation: k^2 changes by x^T (A_material - A_rigid) x over x^T M x.
      const std::vector<Complex> property = continuation.properties(rigid);
      Complex change = 0;
      double mass = 0;
      for (std::size_t g = 0; g < property.size(); ++g) {
        const ReducedOperator::Group& group = continuation.system.groups()[g];
        const double amount = start.dot(continuation.system.sum(g) * start);
        change += amount * (term_weight(group.kind, property[g], rigid) -
                            term_weight(group.kind, property_at_step(group.kind, property[g], 0), rigid));
        if (group.kind == OperatorTerm::Kind::mass) mass += amount;
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
