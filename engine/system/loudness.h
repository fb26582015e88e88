// Weighted levels and exposure: A- and C-weighting, and the time for which a level is safe.
#pragma once

#include <vector>

namespace cabinfield {

/// Weights in dB at a frequency > 0: the poles of IEC 61672-1 Annex E (20.6, 107.7, 737.9 and 12194 Hz), 0 dB
/// at 1 kHz.
double a_weight_db(double frequency_hz);
double c_weight_db(double frequency_hz);

/// Sum of band levels, each weighted at its middle frequency. Bands at or below -200 dB do not count.
enum class Weighting { none, a, c };
double weighted_sum_db(const std::vector<double>& band_db, const std::vector<double>& middle_hz,
                       Weighting weighting);

/// Hours a day at a steady A-weighted level by NIOSH 98-126: 8 h at 85 dB, half for every 3 dB.
double exposure_hours(double level_dba);

}  // namespace cabinfield
