// The real symmetric matrices of the wave field, kept apart so that each can be weighed by what its material
// does at a frequency.
//
// Weak form, times the density of air, e^{+j omega t}, for a point source of volume velocity Q at x0:
//   sum over regions  (rho/rho_r) int grad p . grad v  -  k^2 (K/K_r) int p v
//   + sum over walls  j k beta int p v dS  +  sum over sheets  j k (rho c/Z) int [p] [v] dS
//   = j omega rho Q v(x0),
// with rho_r and K_r density and bulk modulus of the region, [p] the jump across a sheet. Quadratic
// tetrahedra with straight sides: all integrals are exact.
#pragma once

#include <Eigen/Core>
#include <span>
#include <vector>

#include "field/wave/finite_element_space.h"
#include "geometry/cabin.h"

namespace cabinfield {

/// The surface and material that one matrix of wall stands for.
struct WallGroup {
  int surface = 0, material = 0;
  double area_m2 = 0;
};

/// One matrix: entries of the shared pattern and their values.
struct OperatorTerm {
  enum class Kind { stiffness, mass, wall, sheet };
  Kind kind = Kind::stiffness;
  int index = 0;  ///< region (Mesh::air or a block), wall group, or partition
  std::vector<int> nonzero;
  std::vector<double> value;
};

/// Columns of unknowns, row-major, so that a product with a sparse matrix runs along whole rows.
using BasisMatrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

class WaveMatrices {
 public:
  WaveMatrices(const FiniteElementSpace& space, const Cabin& cabin);

  int degrees_of_freedom() const { return static_cast<int>(column_start_.size()) - 1; }
  const std::vector<OperatorTerm>& terms() const { return terms_; }
  const std::vector<WallGroup>& walls() const { return walls_; }

  // The lower triangle, column by column; all terms share it.
  const std::vector<int>& column_start() const { return column_start_; }
  const std::vector<int>& row() const { return row_; }
  const std::vector<int>& column() const { return column_; }  ///< of each entry

  /// sum_t weight[t] * term t, on the shared pattern. [entries]
  std::vector<Complex> weighed(std::span<const Complex> weight) const;
  std::vector<double> weighed(std::span<const double> weight) const;

  /// Term times columns; the same bits for any number of threads.
  BasisMatrix times(const OperatorTerm& term, const BasisMatrix& basis_vectors) const;

 private:
  std::vector<int> column_start_, row_, column_;
  std::vector<OperatorTerm> terms_;
  std::vector<WallGroup> walls_;
};

}  // namespace cabinfield
