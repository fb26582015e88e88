// Transfer functions of thousands of sources: the reciprocal solution of each ear is computed once, and each
// source is then a product with it.
#pragma once

#include <Eigen/Core>
#include <vector>

#include "field/wave/wave_field.h"

namespace cabinfield {

/// Sources of one matrix product.
inline constexpr std::size_t sources_at_once = 64;

class ReciprocalSolutions {
 public:
  /// Ears as for WaveField::solve; the field must outlive this.
  ReciprocalSolutions(const WaveField& field, const std::vector<Vector3>& ears,
                      const std::vector<double>& frequency_hz);

  /// Ear pressure per unit volume velocity of each source, Pa s/m3: [sources, ears, frequencies]. The same
  /// bits for any number of threads; the last digits of a source may depend on how many sources there are.
  /// Throws std::invalid_argument for a source more than 50 mm outside the air.
  Table<Complex, 3> transfer(const std::vector<Source>& sources) const;

  std::size_t basis_vectors() const { return static_cast<std::size_t>(fields_.rows()); }

 private:
  const WaveField& field_;
  std::size_t ears_;
  std::vector<double> frequency_hz_;
  Eigen::MatrixXd fields_;  ///< [basis vectors, ears * frequencies * (real, imaginary)]
};

}  // namespace cabinfield
