// The kinds of measures, each declared once, and the options of one measure.
//
// The table holds everything that files, messages and results need to know about a kind: name, unit, which
// way is better, what it is computed from. Definitions are in measures.h.
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
  response_deviation,  ///< the measure `evenness` of a study
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

/// Whether an option of a kind must or may be given.
enum class Stated { never, may, must };

struct MeasureDeclaration {
  MeasureKind kind;
  std::string_view name;  ///< in files: "deepest_notch"
  std::string_view unit;  ///< of its values and limits; a weight is points per this
  Better better;
  bool of_one_seat;  ///< has a value at each seat; else only over all selected seats (at least two)
  Stated band;       ///< the kind's own range where it is not given
  Stated channels;   ///< named channels; all playing ones where they are not given
  bool pair;         ///< a left and a right channel
  bool target;       ///< a target may be given
  bool pressures, arrivals, lengths;  ///< what it is computed from
  std::string_view help;              ///< one line for the key reference
  std::string_view not_yet;  ///< ""; or what is missing for an unsupported kind, whose use is a fault
};

/// All kinds, in the order of the enumeration.
std::span<const MeasureDeclaration> measure_declarations();
const MeasureDeclaration& declaration_of(MeasureKind kind);
/// Null for an unknown name.
const MeasureDeclaration* find_measure(std::string_view name);

/// Target of a response, up to a constant: the sum of a tilt and of points, interpolated linearly over the
/// logarithm of frequency and constant beyond the ends.
struct TargetCurve {
  double tilt_db_per_octave = 0;     ///< below 0: falls towards high frequencies
  std::vector<double> frequency_hz;  ///< rising; may be empty
  std::vector<double> level_db;      ///< as long as frequency_hz
  double level_at(double hz) const;  ///< dB, 0 at 1 kHz for the tilt
};

/// How the values at the selected seats are combined; a single seat's value keeps its sign.
enum class OverSeats {
  mean,  ///< weighted by seat_weight; of magnitudes for a kind that is better near zero
  worst  ///< the worst (also a magnitude), whatever its weight
};

/// Options of one measure, with names resolved.
struct MeasureOptions {
  MeasureKind kind = MeasureKind::level;
  FrequencyRange band;              ///< low_hz = high_hz = 0: not given
  std::vector<double> seat_weight;  ///< [S]; 0: not selected; empty: all seats, each 1
  OverSeats over = OverSeats::mean;
  std::vector<int> channels;                  ///< named ones; empty: not given
  int left_channel = -1, right_channel = -1;  ///< of the pair; -1: not given
  int signal = 2;                             ///< 0 left only, 1 right only, 2 mono
  TargetCurve target;
};

}  // namespace cabinfield
