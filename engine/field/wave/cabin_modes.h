// The modes of a cabin: with rigid walls, and damped by its materials as they are at each mode's own
// frequency.
#pragma once

#include <array>
#include <vector>

#include "field/wave/reduced_order_model.h"

namespace cabinfield {

struct CabinMode {
  double rigid_hz = 0;   ///< rigid walls and partitions, fillings as air
  double damped_hz = 0;  ///< with the materials; real part
  double q = 0;  ///< of the damped mode, |omega| / (2 Im omega); half the inverse of its damping ratio
  /// Shares of x, y and z in int |grad p|^2, the kinetic energy; they sum to one.
  std::array<double, 3> along{};
  std::vector<double> ear_level;  ///< |p| at each ear over the largest in the cabin, rigid shape
};

/// Modes with rigid frequency above zero up to `top_hz`, rising. Each is followed from its rigid form while
/// the materials are introduced step by step (continuation of the nonlinear eigenvalue problem, e.g. Guettel
/// & Tisseur, Acta Numerica 26 (2017) 1, section 4); where continuation fails, the damping is that of
/// first-order perturbation. With e^{+j omega t} a positive imaginary part of omega decays.
std::vector<CabinMode> cabin_modes(const ReducedOrderModel& reduced, const FiniteElementSpace& space,
                                   const WaveMatrices& matrices, const Cabin& cabin, const WaveMedium& medium,
                                   double top_hz);

}  // namespace cabinfield
