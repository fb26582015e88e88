// Modes of the cabin with rigid walls and air alone: K p = k^2 M p, shift-invert Lanczos (Spectra) on a
// sparse Cholesky factor (CHOLMOD).
#pragma once

#include <Eigen/Core>
#include <vector>

#include "field/wave/wave_matrices.h"

namespace cabinfield {

struct RigidModes {
  std::vector<double> wavenumber_per_m;  ///< rising; the first of each closed piece of air is zero
  Eigen::MatrixXd shape;                 ///< [unknowns, modes], int p^2 dV = 1
};

/// The lowest `count` modes, fillings taken as air and sheets as rigid. Throws SolverFailure.
RigidModes rigid_modes(const WaveMatrices& matrices, int count);

}  // namespace cabinfield
