// Assembly of the Helmholtz equation: the real symmetric matrices of its affine decomposition
// A(f) = sum_t w_t(f) A_t, each with the complex weight of its material at a frequency.
//
// Strong form, e^{+j omega t}, in each region r of equivalent density rho_r and bulk modulus K_r:
//   div (1/rho_r grad p) + omega^2/K_r p = -j omega Q delta(x - x0),
//   wall:       (1/rho) dp/dn = -(j k beta/rho) p                  (n out of the air),
//   partition:  (1/rho) dp/dn = -(j omega/Z) [p] on both sides      (n from front to back, [p] = front -
//   back).
// Weak form, after multiplication with the density rho of air, a test function v and integration by parts:
//   sum over regions  (rho/rho_r) int grad p . grad v dV  -  k^2 (K/K_r) int p v dV
//   + sum over walls  j k beta int p v dS  +  sum over sheets  j k (rho c/Z) int [p] [v] dS
//   = j omega rho Q v(x0),
// where
//   p, v         pressure and test function, Pa        omega = 2 pi f, k = omega/c
//   rho, c, K    density, speed of sound and bulk modulus rho c^2 of air
//   rho_r, K_r   those of region r: air, or the equivalent fluid of a filling (complex)
//   beta         specific admittance rho c/Z_w of a wall, its leaks included
//   Z            transfer impedance of a partition, Pa s/m
//   Q, x0        volume velocity (m3/s) and position of a point source
// (Ihlenburg, Finite Element Analysis of Acoustic Scattering, ch. 2; Atalla & Sgard, Finite Element and
// Boundary Methods in Structural Acoustics and Vibration; both from memory.) Second-order tetrahedra with
// straight sides: all integrals are exact.
#pragma once

#include <Eigen/Core>
#include <span>
#include <vector>

#include "field/wave/finite_element_space.h"
#include "geometry/cabin.h"

namespace cabinfield {

/// Surface and material of one wall matrix.
struct WallGroup {
  int surface = 0, material = 0;
  double area_m2 = 0;
};

/// One matrix of the affine decomposition: its nonzeros in the shared pattern and their values.
struct OperatorTerm {
  enum class Kind { stiffness, mass, wall, sheet };  ///< sheet: interface, a partition
  Kind kind = Kind::stiffness;
  int index = 0;  ///< region (Mesh::air or a block), wall group, or partition
  std::vector<int> nonzero;
  std::vector<double> value;
};

/// [degrees of freedom, basis vectors], row-major, so that a product with a sparse matrix runs along whole
/// rows.
using BasisMatrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

class WaveMatrices {
 public:
  WaveMatrices(const FiniteElementSpace& space, const Cabin& cabin);

  int degrees_of_freedom() const { return static_cast<int>(column_start_.size()) - 1; }
  const std::vector<OperatorTerm>& terms() const { return terms_; }
  const std::vector<WallGroup>& walls() const { return walls_; }

  // The sparsity pattern of the lower triangle, compressed by columns; all terms share it.
  const std::vector<int>& column_start() const { return column_start_; }
  const std::vector<int>& row() const { return row_; }
  const std::vector<int>& column() const { return column_; }  ///< of each nonzero

  /// sum_t weight[t] * term t, on the shared pattern. [nonzeros]
  std::vector<Complex> weighed(std::span<const Complex> weight) const;
  std::vector<double> weighed(std::span<const double> weight) const;

  /// Term times basis vectors; the same bits for any number of threads.
  BasisMatrix times(const OperatorTerm& term, const BasisMatrix& basis_vectors) const;

 private:
  std::vector<int> column_start_, row_, column_;
  std::vector<OperatorTerm> terms_;
  std::vector<WallGroup> walls_;
};

}  // namespace cabinfield
