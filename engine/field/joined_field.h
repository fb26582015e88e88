// Two fields made one: waves below, images above, joined over the octave that ends at the wave field's top.
#pragma once

#include "field/field.h"

namespace cabinfield {

/// Over the octave the weight of the upper field rises as sin^2 over log frequency, that of the lower one
/// falls with it; they sum to one. Weighed are the logarithm of the magnitude and the phase, along the
/// shorter arc: a weighed sum of complex pressures would fall by 3 dB where the two are a quarter of a cycle
/// apart, and to nothing where they are opposed. Where both agree the two rules are one. It is done driver by
/// driver, so that pressures of several drivers still add. How far they agree is told: the coherence |sum p_w
/// p_i*| / sqrt(sum |p_w|^2 sum |p_i|^2) over the octave.
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

/// One value out of two: see JoinedField. Where one is silent, the weighed sum.
Complex blended(Complex lower, Complex upper, double upper_weight);

}  // namespace cabinfield
