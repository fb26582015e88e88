// Modes of the cabin with rigid walls and air alone: K p = k^2 M p, by shift-invert Lanczos iteration
// (Spectra) on a sparse Cholesky factor (CHOLMOD).
#pragma once

#include <Eigen/Core>
#include <vector>

#include "field/wave/wave_matrices.h"

namespace cabinfield {

struct RigidModes {
  std::vector<double> wavenumber_per_m;  ///< rising; one zero for each connected component of the air
  Eigen::MatrixXd shape;                 ///< [degrees of freedom, modes], int p^2 dV = 1
};

/// The lowest `count` modes, fillings as air, partitions rigid. Throws SolverFailure.
RigidModes rigid_modes(const WaveMatrices& matrices, int count);

}  // namespace cabinfield
