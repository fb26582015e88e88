// Error of the reduced-order model against the full solution on the same mesh.
#pragma once

#include <vector>

#include "field/wave/wave_field.h"

namespace cabinfield::test {

struct ReductionMiss {
  double worst =
      0;  ///< |p - p full| over the larger of |p full| and its root mean square over a third octave
  double frequency_hz = 0;
  std::size_t source = 0, ear = 0;
  int basis_vectors = 0, degrees_of_freedom = 0;
};

/// The worst over sources, ears and frequencies (rising, a dozen or more to the third octave where the mean
/// is to mean anything: it is that of the full answer at those of them within a sixth of an octave).
ReductionMiss reduction_miss(const WaveField& field, const Cabin& cabin, const std::vector<Source>& sources,
                             const std::vector<Vector3>& ears, const std::vector<double>& frequency_hz);

/// `count` frequencies from 10 Hz, evenly over the octaves.
std::vector<double> frequencies_up_to(double top_hz, int count);

}  // namespace cabinfield::test
