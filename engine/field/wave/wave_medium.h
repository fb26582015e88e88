// Air, fillings, walls, leaks and partitions of a cabin, as weights of the operator terms at a frequency.
#pragma once

#include <string>
#include <vector>

#include "base/air.h"
#include "base/table.h"
#include "base/vector.h"
#include "field/wave/wave_matrices.h"
#include "geometry/cabin.h"
#include "material/filling.h"
#include "material/leak.h"
#include "material/material.h"
#include "material/transfer_impedance.h"

namespace cabinfield {

/// A leak, distributed over its whole surface.
struct SurfaceLeak {
  Leak leak;
  int surface = 0;  ///< index into Cabin::surfaces()
};

/// Everything the wave field knows about the materials of a cabin. Plain values.
struct WaveMedium {
  Air air;
  std::vector<Material> materials;                     ///< by index of Face::material
  std::vector<Filling> fillings;                       ///< by index of Block::filling
  std::vector<TransferImpedance> transfer_impedances;  ///< of each partition
  std::vector<SurfaceLeak> leaks;

  /// Material property of each term at each frequency (Hz, > 0), symbols as in wave_matrices.h: rho/rho_r of
  /// a stiffness, K/K_r of a mass, beta with leaks of a wall, rho c/Z of a sheet. [terms, F]
  Table<Complex, 2> properties(const WaveMatrices& matrices, const Cabin& cabin,
                               const std::vector<double>& frequency_hz) const;
};

/// Power of the wavenumber in the weight of a kind: 0, 1 or 2.
int wavenumber_power(OperatorTerm::Kind kind);

/// Weight of a term with a property at a wavenumber, which may be complex: property times 1 (stiffness), -k^2
/// (mass), j k (wall, sheet).
Complex term_weight(OperatorTerm::Kind kind, Complex property, Complex wavenumber_per_m);

}  // namespace cabinfield
