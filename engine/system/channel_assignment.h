// Assigns channels without an output to amplifier outputs.
//
// The best of all assignments: most channels fed, then the least power missing, then the fewest units, then
// the least surplus power, then the fewest bridged pairs. Every set of units is tried and, for each, every
// division of channels among them (dynamic programming over the outputs and bridgeable pairs left of each
// unit). Ties fill units in their order.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

namespace cabinfield {

/// An output that gives this part of the wanted power is enough: 1 dB is hardly audible (common practice, no
/// source).
inline constexpr double enough_power_part = 0.8;

/// Every set of units is tried: more would take too long.
inline constexpr std::size_t most_assigned_units = 12;

/// A channel that needs an output.
struct OutputOptions {
  std::string name;
  double load_ohm = 0;
  double power_w = 0;  ///< that its drivers can use
};

/// Bridged pairs are neighbours: 1 and 2, 3 and 4 and so on (common practice, no source).
bool is_pair(int output, int other);

/// Free outputs of a unit, numbered from 1.
class FreeOutputs {
 public:
  /// `bridges`: the unit can be bridged.
  FreeOutputs(int outputs, bool bridges);

  void take(int output);
  int count() const;
  int pairs() const;
  /// The lowest output that keeps `pairs_to_come` pairs free; 0 where there is none.
  int next(int pairs_to_come) const;
  /// The first output of the lowest pair; 0 where there is none.
  int next_pair() const;

 private:
  std::vector<bool> free_;
  bool bridges_;
};

/// A unit with free outputs.
struct OutputOffer {
  std::string name;
  int outputs = 0;
  int pairs = 0;                                     ///< of them that can be bridged
  double least_load_ohm = 0, least_bridged_ohm = 0;  ///< nominal
  /// W into each channel's load, single and bridged, by index of the channel; 0 where the load is too low.
  std::vector<double> power_w, bridged_power_w;
};

struct OutputChoice {
  int unit = -1;  ///< index of the offer; -1 without an output
  bool bridged = false;
};

struct Assignment {
  std::vector<OutputChoice> choice;  ///< of each channel
  int missing = 0;                   ///< channels without an output
  double short_w = 0;                ///< missing power, of channels that do not get enough
  int units = 0;
  double spare_w = 0;  ///< surplus power
  int bridged = 0;
};

/// Power that a channel lacks at an output, W; 0 where it is enough.
double short_of_w(const OutputOptions& options, double power_w);

/// True where the first is better.
bool better(const Assignment& one, const Assignment& other);

/// Figures of an assignment, from its choices. They must be possible: enough outputs, loads that the unit
/// drives.
Assignment judged(const std::vector<OutputOptions>& options, const std::vector<OutputOffer>& offers,
                  std::vector<OutputChoice> choice);

/// Throws std::invalid_argument for more than most_assigned_units.
Assignment propose_assignment(const std::vector<OutputOptions>& options,
                              const std::vector<OutputOffer>& offers);

}  // namespace cabinfield
