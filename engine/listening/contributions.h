// What each channel adds to the sum at a seat, band by band: louder with it than without, or quieter where it
// cancels what the others do.
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

/// Levels in dB, mean power of both ears, every octave alike. A silent one is far below hearing (bands.h).
struct Contributions {
  std::vector<BandSlice> bands;  ///< [B]
  Table<double, 2> sum_db;       ///< [S,B] all channels that play
  Table<double, 3> without_db;   ///< [C,S,B] all but this one
  Table<double, 3> own_db;       ///< [C,S,B] this one alone
  /// What the channel adds: the sum over what it is without it; below 0 it takes away.
  double adds_db(std::size_t channel, std::size_t seat, std::size_t band) const {
    return sum_db(seat, band) - without_db(channel, seat, band);
  }
};

/// Over the third octaves of a range, those at its ends as far as they lie in it; the range has no
/// band_problem. signal_share [C] is that of each channel in the signal, 0 for one that does not play.
Contributions contributions(std::span<const double> frequency_hz, const ChannelPressures& pressure,
                            std::span<const double> signal_share, FrequencyRange range);

/// Neighbouring bands in all of which a channel adds, or in all of which it takes away.
struct ContributionRun {
  double low_hz = 0, high_hz = 0;
  std::size_t bands = 0;
  double adds_db = 0;      ///< over all of them: mean power with it over mean power without it
  double steepest_db = 0;  ///< of one band: the largest, the most negative where it takes away
  double steepest_hz = 0;  ///< middle of that band
};
/// A channel that adds this much is all there is, dB.
inline constexpr double alone_db = 20;
/// Runs of one channel at one seat in which each band changes by more than `least_db`, rising in frequency.
/// Bands in which the sum lies more than `audible_db` below its loudest band are left out: what a channel
/// adds to next to nothing decides nothing.
std::vector<ContributionRun> contribution_runs(const Contributions& found, std::size_t channel,
                                               std::size_t seat, double least_db = 1, double audible_db = 30);

/// "rear_bass adds 2.1 dB at the driver from 60 to 120 Hz, and takes 3.0 dB away at 95 Hz"; empty where there
/// is no run. A run of a single band is told by its middle; where the channel adds more than `alone_db` the
/// others are as good as silent, and it "adds all there is".
std::optional<std::string> contribution_line(const std::string& channel, const std::string& seat,
                                             std::span<const ContributionRun> runs);

}  // namespace cabinfield
