// What fills the cabin and bounds it, as weights of the wave field's matrices at a frequency.
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

/// A leak, spread over the whole of the surface that it is in.
struct SurfaceLeak {
  Leak leak;
  int surface = 0;  ///< index into Cabin::surfaces()
};

/// All that the wave field knows of the cabin's stuff. Plain values.
struct WaveMedium {
  Air air;
  std::vector<Material> materials;                     ///< by index of Face::material
  std::vector<Filling> fillings;                       ///< by index of Block::filling
  std::vector<TransferImpedance> transfer_impedances;  ///< of each partition
  std::vector<SurfaceLeak> leaks;

  /// The part of each term's weight that its material makes, at each frequency (Hz, > 0): rho/rho_r of a
  /// stiffness, K/K_r of a mass, beta with its leaks of a wall, rho c/Z of a sheet. [terms, F]
  Table<Complex, 2> properties(const WaveMatrices& matrices, const Cabin& cabin,
                               const std::vector<double>& frequency_hz) const;
};

/// The power of the wavenumber in the weight of a kind: 0, 1 or 2.
int wavenumber_power(OperatorTerm::Kind kind);

/// The whole weight of a term whose property is given, at a wavenumber that may be complex: times 1, -k^2, jk
/// or jk.
Complex term_weight(OperatorTerm::Kind kind, Complex property, Complex wavenumber_per_m);

}  // namespace cabinfield
