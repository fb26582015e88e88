// Measures of a variant, computed from the pressures of its channels at the ears.
//
// Signals and seats: the ears are 2s (left) and 2s + 1 (right) of seat s; a channel's part in a signal is its
// pressure times its share of it. P = (|p_left ear|^2 + |p_right ear|^2)/2 throughout, means of it are over
// the logarithm of frequency (pink), L = 10 lg(mean of P over the band/(20 uPa)^2).
//
// At each seat, for the sum p = sum_c p_c of the channels in the measure's signal:
//   level              L of the band, at the voltage that the pressures are given for
//   evenness           response deviation: standard deviation of L - target over the band's third octaves,
//   cut
//                      ones weighted by their part in the band; the mean difference does not count
//   deepest_notch      largest of 10 lg(mean of P over the octave around f / P(f)) over the local minima f of
//   P in
//                      the band, 0 without any; detail: that frequency, Hz
//   cancellation_loss  10 lg(mean of (sum_c |p_c|)^2 / mean of |p|^2), at least 0
//   path_difference    path from the right channel's nearest driver to the head less that from the left's
//   arrival_spread     latest less earliest first arrival at the head among the channels that play
//   side_angle         see interaural.h; right positive
//   power_share        sum over the named channels of the mean of |p_c|^2, over that of all channels
//   sum_share          mean of Re(p_named p*) over the mean of |p|^2, p_named the sum of the named channels:
//                      these add up to 100 % over all channels; above 100 or below 0 where channels cancel
//   loudest            NaN here: it needs amplifiers and limits (study/judged_variants.h)
// Over the selected seats:
//   seat_spread        loudest less quietest L in each third octave, mean over the band's third octaves
// A missing value (the share at a silent seat, no side) is NaN.
//
// The definitions of level, notch, losses and shares are those of this program; the seat-to-seat spread is
// the range where Welti & Devantier (J. Audio Eng. Soc. 54 (2006) 347, from memory) use the variance, because
// a range is easier to read for two seats.
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

/// View of the pressures of C channels at E ears over F frequencies, Pa RMS; frequencies are contiguous.
struct ChannelPressures {
  const Complex* values = nullptr;
  std::size_t channels = 0, ears = 0, frequencies = 0;
  std::size_t channel_stride = 0, ear_stride = 0;  ///< from one to the next, in values

  const Complex* row(std::size_t channel, std::size_t ear) const {
    return values + channel * channel_stride + ear * ear_stride;
  }
};
/// A view of row-major values [C,E,F].
ChannelPressures channel_pressures(const Complex* values, std::size_t channels, std::size_t ears,
                                   std::size_t frequencies);

/// The sound of one variant. A span may be empty where no measure needs it.
struct Heard {
  ChannelPressures pressure;
  std::span<const double> signal_share;  ///< [3,C] in left only, right only, mono; 0: does not play
  std::span<const double> arrival_s;     ///< [C,S] first arrival with the channel's delay; NaN: none
  std::span<const double> length_m;      ///< [C,S] path from its nearest driver (nearest_of_channels)
};

/// Common to all variants.
struct MeasureSetting {
  std::vector<double> frequency_hz;  ///< rising
  std::size_t channels = 0, seats = 0;
  std::vector<SideAngleScale> side_scale;  ///< [S]; empty without a side angle
};

/// A measure that cannot be evaluated, and why.
struct MeasureProblem {
  std::size_t options = 0;
  std::string_view about;  ///< band, channels, pair or seats; or measure: the measure as a whole
  std::string words;       ///< "the band from 3 to 4 Hz has no computed frequency in it; nearest: 10 Hz"
};
/// All problems of all measures.
std::vector<MeasureProblem> measure_problems(std::span<const MeasureOptions> options,
                                             const MeasureSetting& setting);

/// Values of M measures at S seats.
struct Measured {
  std::vector<double> over_seats;  ///< [M] in the kind's unit
  std::vector<double> at_seat;     ///< [M,S] NaN where not selected or not defined at one seat
  std::vector<double> detail;      ///< [M,S] frequency of the deepest notch, Hz; else NaN
};

/// Workspace of an evaluation; one for each thread, made by the plan.
struct MeasureWorkspace {
  std::vector<Complex> sum_pa;                // [signal,S,2,F]
  std::vector<double> square, in_phase;       // [signal,S,F], Pa^2
  std::vector<double> own_square, magnitude;  // [F] of one channel at one ear
};

/// Measures prepared for a grid of frequencies. Immutable; any number of threads may use it.
class MeasurePlan {
 public:
  /// The measures must have no problem (measure_problems).
  MeasurePlan(std::vector<MeasureOptions> options, MeasureSetting setting);

  const std::vector<MeasureOptions>& options() const { return options_; }
  MeasureWorkspace workspace() const;
  /// Allocates nothing after the first call, except for the side angle.
  void evaluate(const Heard& heard, MeasureWorkspace& work, Measured& measured) const;

 private:
  struct Prepared {
    std::vector<std::size_t> seats;  // selected
    std::vector<double> seat_share;  // weight of each; they sum to 1
    BandWeights band;
    std::vector<BandSlice> slices;
    std::vector<double> target_db;         // at each slice
    std::vector<std::size_t> notch_index;  // frequencies in the band
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
  std::vector<BandWeights> octave_about_;  // empty without a notch measure
  std::vector<Use> use_;                   // [signal,S]
};

}  // namespace cabinfield
