// The measures that places are judged by, found for one variant after another from what its channels do at
// the ears.
//
// Signals and seats: the ears are 2s (left) and 2s + 1 (right) of seat s; a channel's part in a signal is its
// pressure times its share of it. P = (|p_left ear|^2 + |p_right ear|^2)/2 throughout, means of it are over
// the logarithm of frequency (pink: every octave alike), L = 10 lg(mean of P over the band/(20 uPa)^2).
//
// At each seat, for the sum p = sum_c p_c of the channels of the wish's signal:
//   level              L of the band, at the voltage that the pressures are given for
//   evenness           standard deviation of L - target over the band's third octaves, those that the band
//                      cuts counted by what lies in it; the mean difference does not count
//   deepest_notch      largest of 10 lg(mean of P over the octave about f / P(f)) over the frequencies in the
//                      band at which P has a local minimum, 0 where it has none; detail: that frequency, Hz
//   cancellation_loss  10 lg(mean of (sum_c |p_c|)^2 / mean of |p|^2), at least 0
//   path_difference    way from the right channel's nearest driver less that from the left's, to the head
//   arrival_spread     latest less earliest first arrival at the head among the channels that play
//   side_angle         see interaural.h; right positive
//   power_share        sum over the named channels of the mean of |p_c|^2, over that of all channels
//   sum_share          mean of Re(p_named p*) over the mean of |p|^2, p_named the sum of the named channels:
//                      these add up to 100 % over all channels; above 100 or below 0 where channels cancel
//   loudest            not found here: it takes amplifiers and limits; NaN
// Over the seats asked for:
//   seat_spread        loudest less quietest L in each third octave, mean over the band's third octaves
// A value that does not exist (a silent seat's share, no side) is NaN.
//
// The definitions of level, notch, losses and shares are those of this program; the seat-to-seat spread is
// the range where Welti & Devantier (J. Audio Eng. Soc. 54 (2006) 347, from memory) take the variance, since
// for two seats a range reads as what it is.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/vector.h"
#include "listening/band_weights.h"
#include "listening/measure_kinds.h"

namespace cabinfield {

/// Pressures of C channels at E ears over F frequencies, Pa RMS, wherever they lie in memory; each run over
/// the frequencies is in one piece.
struct ChannelPressures {
  const Complex* values = nullptr;
  std::size_t channels = 0, ears = 0, frequencies = 0;
  std::size_t channel_stride = 0, ear_stride = 0;  ///< from one to the next, in values

  const Complex* row(std::size_t channel, std::size_t ear) const {
    return values + channel * channel_stride + ear * ear_stride;
  }
};
/// Of values that lie row-major as [C,E,F].
ChannelPressures channel_pressures(const Complex* values, std::size_t channels, std::size_t ears,
                                   std::size_t frequencies);

/// One variant as it is heard. A span may be empty where no wish needs it.
struct Heard {
  ChannelPressures pressure;
  std::span<const double> signal_share;  ///< [3,C] in left only, right only, both alike; 0: does not play
  std::span<const double> arrival_s;     ///< [C,S] first sound, the channel's delay included; NaN: never
  std::span<const double> length_m;      ///< [C,S] way from its nearest driver (nearest_of_channels)
};

/// What all variants have in common.
struct MeasureSetting {
  std::vector<double> frequency_hz;  ///< rising
  std::size_t channels = 0, seats = 0;
  std::vector<SideAngleScale> side_scale;  ///< [S]; empty where no side is asked for
};

/// A wish that cannot be judged, and why.
struct MeasureProblem {
  std::size_t options = 0;
  std::string_view about;  ///< band, channels, pair, seats; or measure: the wish as a whole
  std::string words;       ///< "the band from 3 to 4 Hz has no computed frequency in it; nearest: 10 Hz"
};
/// All that is wrong with each.
std::vector<MeasureProblem> measure_problems(std::span<const MeasureOptions> options,
                                             const MeasureSetting& setting);

/// The values of M wishes at S seats.
struct Measured {
  std::vector<double> over_seats;  ///< [M] in the kind's unit
  std::vector<double> at_seat;     ///< [M,S] NaN where not asked for, or no value of one seat
  std::vector<double> detail;      ///< [M,S] frequency of the deepest notch, Hz; else NaN
};

/// What one evaluation needs on the way; one for each thread, made by the plan.
struct MeasureWorkspace {
  std::vector<Complex> sum_pa;                // [signal,S,2,F]
  std::vector<double> square, in_phase;       // [signal,S,F], Pa^2
  std::vector<double> own_square, magnitude;  // [F] of one channel at one ear
};

/// Wishes made ready for a grid of frequencies; never changes, any number of threads may use it.
class MeasurePlan {
 public:
  /// The wishes have no problem (measure_problems).
  MeasurePlan(std::vector<MeasureOptions> options, MeasureSetting setting);

  const std::vector<MeasureOptions>& options() const { return options_; }
  MeasureWorkspace workspace() const;
  /// Allocates nothing after the first time, but for the side angle.
  void evaluate(const Heard& heard, MeasureWorkspace& work, Measured& measured) const;

 private:
  struct Prepared {
    std::vector<std::size_t> seats;  // asked for
    std::vector<double> seat_share;  // of each, adding up to 1
    BandWeights band;
    std::vector<BandSlice> slices;
    std::vector<double> target_db;         // at each slice
    std::vector<std::size_t> notch_index;  // frequencies at which a notch may be
  };
  struct Use {
    bool sum = false, in_phase = false;
  };
  std::size_t at(std::size_t signal, std::size_t seat) const { return signal * setting_.seats + seat; }
  void sum_up(const Heard& heard, MeasureWorkspace& work) const;
  double seat_value(std::size_t options, std::size_t seat, const Heard& heard, const MeasureWorkspace& work,
                    double& detail) const;
  double response_deviation_db(const Prepared& prepared, const double* square) const;
  double deepest_notch_db(const Prepared& prepared, const double* square, double& frequency_hz) const;
  double seat_spread_db(std::size_t options, const MeasureWorkspace& work) const;

  std::vector<MeasureOptions> options_;
  MeasureSetting setting_;
  std::vector<Prepared> prepared_;
  std::vector<BandWeights> octave_about_;  // empty where no notch is asked for
  std::vector<Use> use_;                   // [signal,S]
};

}  // namespace cabinfield
