// Alignment of a variant before it is judged, so that positions are compared rather than lucky settings:
// equal first arrivals and equal levels at a seat.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "base/vector.h"
#include "listening/band_weights.h"
#include "listening/measures.h"

namespace cabinfield {

/// Delay of each channel, s, that brings the first arrivals of all channels at the seat to the latest of
/// them. arrival_s [C,S] without the new delays; see delays_to_latest_s.
std::vector<double> lining_up_delays_s(std::span<const double> arrival_s, std::size_t seats, std::size_t seat,
                                       std::span<const int> use);

/// Gain of each channel, dB, that sets its mean level in the band at the seat to `level_db`. 0 for channels
/// with use 0 and for channels that are silent there.
std::vector<double> levelling_gains_db(const ChannelPressures& pressure, const BandWeights& band,
                                       std::size_t seat, double level_db, std::span<const int> use);
/// Mean in dB of the levels in the band at the seat, over the channels that levelling_gains_db changes: the
/// level with the smallest gains. NaN without such a channel.
double common_level_db(const ChannelPressures& pressure, const BandWeights& band, std::size_t seat,
                       std::span<const int> use);

/// Multiplies pressures [C,E,F] (row-major) by each channel's gain and e^{-j omega delay}. `phase` is
/// workspace for one value a frequency. A channel with gain and delay 0 stays the same to the last bit.
/// `step` is octave_step of the frequencies: phases are squared from those an octave below, which is faster
/// and doubles their rounding with every octave; 0 computes each.
void apply_settings(std::span<const double> frequency_hz, int step, std::span<const double> gain_db,
                    std::span<const double> delay_s, std::span<Complex> pressure, std::span<Complex> phase);
/// Adds the delays to arrivals [C,S].
void apply_delays(std::span<const double> delay_s, std::span<double> arrival_s);

}  // namespace cabinfield
