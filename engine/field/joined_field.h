// Joins two fields: the wave field below, the image method above, blended over the octave below the wave
// field's top frequency.
#pragma once

#include "field/field.h"

namespace cabinfield {

/// Over the octave the weight w of the upper field rises as sin^2 of log frequency; the lower field has 1 -
/// w. The logarithm of the magnitude and the phase (along the shorter arc) are interpolated: a weighted sum
/// of complex pressures would lose 3 dB where the two are a quarter of a cycle apart, and vanish where they
/// are opposite. For equal fields both rules agree. Each driver is blended on its own, so that pressures of
/// several drivers still add. The agreement of the fields is reported as the coherence |sum p_w p_i*| /
/// sqrt(sum |p_w|^2 sum |p_i|^2) over the octave. (The rule is this program's own.)
class JoinedField : public Field {
 public:
  /// Both must outlive it.
  JoinedField(const Field& lower, const Field& upper, double top_hz);
  FieldAnswer solve(const FieldQuestion& question, const Progress& progress = {}) const override;

 private:
  const Field& lower_;
  const Field& upper_;
  double top_hz_;
};

/// Weight of the upper field, 0 to 1.
double upper_weight(double frequency_hz, double top_hz);

/// Interpolates two values as JoinedField describes; a weighted sum where one is zero.
Complex blended(Complex lower, Complex upper, double upper_weight);

}  // namespace cabinfield
