// What places are judged by: each kind of measure, declared once, and the wish for one.
//
// The table is all that files, messages and columns of results need to know of a kind: its name, its unit,
// which way is better, what it is found from. How each is found stands in measures.h.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "listening/interaural.h"

namespace cabinfield {

enum class MeasureKind {
  level,
  evenness,
  deepest_notch,
  seat_spread,
  cancellation_loss,
  path_difference,
  arrival_spread,
  side_angle,
  power_share,
  sum_share,
  loudest
};

/// Which way is better; `near_zero` measures have a sign.
enum class Better { small, large, near_zero };

/// What a wish has to state, or may, for a kind.
enum class Stated { never, may, must };

struct MeasureDeclaration {
  MeasureKind kind;
  std::string_view name;  ///< in files: "deepest_notch"
  std::string_view unit;  ///< of its values and limits; a weight is points per this
  Better better;
  bool of_one_seat;  ///< has a value at each seat; else only over all the seats asked for (at least two)
  Stated band;       ///< without one where it may be left out: a range of its own
  Stated channels;   ///< named channels; all that play where they may be left out
  bool pair;         ///< a left and a right channel
  bool target;       ///< a target may be given
  bool pressures, arrivals, lengths;  ///< what it is found from
  std::string_view help;              ///< one line for the key reference
  std::string_view not_yet;           ///< "" or what it waits for: a wish for it is a fault that says so
};

/// All kinds, in the order of the enumeration.
std::span<const MeasureDeclaration> measure_declarations();
const MeasureDeclaration& declaration_of(MeasureKind kind);
/// Null where no kind has that name.
const MeasureDeclaration* find_measure(std::string_view name);

/// What a response should follow, up to a constant: a straight tilt, and points in between which it is
/// straight over the logarithm of frequency and beyond which it stays as it is. Both add.
struct TargetCurve {
  double tilt_db_per_octave = 0;     ///< below 0: falls towards high frequencies
  std::vector<double> frequency_hz;  ///< rising; may be empty
  std::vector<double> level_db;      ///< as long as frequency_hz
  double level_at(double hz) const;  ///< dB, 0 at 1 kHz for the tilt
};

/// One number from the values at the seats asked for; of a single seat its own, with its sign.
enum class OverSeats {
  mean,  ///< weighted by seat_weight; of magnitudes for a kind that is better near zero
  worst  ///< the one furthest from good (a magnitude, too), whatever its weight
};

/// One measure as asked for, names already looked up.
struct MeasureOptions {
  MeasureKind kind = MeasureKind::level;
  FrequencyRange band;              ///< low_hz = high_hz = 0: not stated
  std::vector<double> seat_weight;  ///< [S]; 0: not asked for; empty: all seats, each 1
  OverSeats over = OverSeats::mean;
  std::vector<int> channels;                  ///< named ones; empty: not stated
  int left_channel = -1, right_channel = -1;  ///< of the pair; -1: not stated
  int signal = 2;                             ///< 0 left only, 1 right only, 2 both alike (mono)
  TargetCurve target;
};

}  // namespace cabinfield
