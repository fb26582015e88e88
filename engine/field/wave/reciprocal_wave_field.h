// The wave field for many questions with the same ears and frequencies: the reciprocal solutions are computed
// once.
#pragma once

#include <memory>

#include "field/wave/reciprocal_solutions.h"
#include "field/wave/wave_field.h"

namespace cabinfield {

class ReciprocalWaveField : public Field {
 public:
  /// For questions with the ears, patterns and frequencies of this one.
  ReciprocalWaveField(std::shared_ptr<const WaveField> waves, const FieldQuestion& like);

  /// The bits of a source do not depend on the other sources of the question. Throws std::invalid_argument
  /// for other ears or frequencies.
  FieldAnswer solve(const FieldQuestion& question, const Progress& progress = {}) const override;

 private:
  std::shared_ptr<const WaveField> waves_;
  std::vector<Vector3> ears_;
  std::vector<double> frequency_hz_;
  ReciprocalSolutions fields_;
};

}  // namespace cabinfield
