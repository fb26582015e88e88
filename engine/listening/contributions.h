// Contribution of each channel to the sum at a seat, band by band: the level with it over that without it,
// below 0 dB where it cancels the others.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/table.h"
#include "listening/band_weights.h"
#include "listening/measures.h"

namespace cabinfield {

/// Levels in dB, mean power of both ears, pink weighting. A silent channel has a level far below hearing
/// (bands.h).
struct Contributions {
  std::vector<BandSlice> bands;  ///< [B]
  Table<double, 2> sum_db;       ///< [S,B] of all playing channels
  Table<double, 3> without_db;   ///< [C,S,B] of all but this channel
  Table<double, 3> own_db;       ///< [C,S,B] of this channel alone
  /// Level of the sum less that without the channel; below 0: cancellation.
  double adds_db(std::size_t channel, std::size_t seat, std::size_t band) const {
    return sum_db(seat, band) - without_db(channel, seat, band);
  }
};

/// In the third octaves of a range, cut at its ends; the range must have no band_problem. signal_share [C] of
/// each channel in the signal, 0 for a channel that does not play.
Contributions contributions(std::span<const double> frequency_hz, const ChannelPressures& pressure,
                            std::span<const double> signal_share, FrequencyRange range);

/// Adjacent bands in which a channel adds level throughout, or cancels throughout.
struct ContributionRun {
  double low_hz = 0, high_hz = 0;
  std::size_t bands = 0;
  double adds_db = 0;      ///< mean power with the channel over that without it, all bands
  double steepest_db = 0;  ///< the extreme of the single bands
  double steepest_hz = 0;  ///< centre of that band
};
/// A channel that adds this much plays alone, dB.
inline constexpr double alone_db = 20;
/// Runs of one channel at one seat in which each band changes by more than `least_db`, rising in frequency.
/// Bands more than `audible_db` below the loudest band of the sum are omitted as irrelevant.
std::vector<ContributionRun> contribution_runs(const Contributions& found, std::size_t channel,
                                               std::size_t seat, double least_db = 1, double audible_db = 30);

/// "rear_bass adds 2.1 dB at the driver from 60 to 120 Hz, and takes 3.0 dB away at 95 Hz"; empty without a
/// run. A run of a single band is named by its centre; above `alone_db` the other channels are practically
/// silent, and the channel "adds all there is".
std::optional<std::string> contribution_line(const std::string& channel, const std::string& seat,
                                             std::span<const ContributionRun> runs);

}  // namespace cabinfield
