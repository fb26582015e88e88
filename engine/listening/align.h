// What is done to a variant before it is judged, so that places are compared and not luck with a setting:
// first arrivals lined up at a seat, levels set alike there.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "base/vector.h"
#include "listening/band_weights.h"
#include "listening/measures.h"

namespace cabinfield {

/// Delay for each channel, s, so that with it the first sounds of all channels come together at the seat,
/// with the latest of them. arrival_s [C,S] as the channels are now; as delays_to_latest_s.
std::vector<double> lining_up_delays_s(std::span<const double> arrival_s, std::size_t seats, std::size_t seat,
                                       std::span<const int> use);

/// Gain for each channel, dB, that sets its mean level over the band at the seat to `level_db`. Channels with
/// use 0 get 0, and so do those that are silent there: no gain makes them heard.
std::vector<double> levelling_gains_db(const ChannelPressures& pressure, const BandWeights& band,
                                       std::size_t seat, double level_db, std::span<const int> use);
/// The level that changes least on the whole: the mean, in dB, of the channels' own levels in the band at the
/// seat, of those that levelling_gains_db would change. NaN where there is none.
double common_level_db(const ChannelPressures& pressure, const BandWeights& band, std::size_t seat,
                       std::span<const int> use);

/// Multiplies pressures [C,E,F] (row-major) by each channel's gain and e^{-j omega delay}. `phase` is room
/// for one value a frequency. A channel with gain and delay of 0 is left as it is, to the last bit. `step` is
/// octave_step of the frequencies: where they double every so many, phases are found by squaring those an
/// octave below, which is faster, and doubles their rounding with every octave; 0 finds each.
void apply_settings(std::span<const double> frequency_hz, int step, std::span<const double> gain_db,
                    std::span<const double> delay_s, std::span<Complex> pressure, std::span<Complex> phase);
/// The same delays added to arrivals [C,S].
void apply_delays(std::span<const double> delay_s, std::span<double> arrival_s);

}  // namespace cabinfield
