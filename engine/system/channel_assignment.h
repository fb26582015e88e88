// Which channel goes to which amplifier output, where the scene leaves it open.
//
// The best of all assignments: as many channels fed as can be, then the least power missing, then the fewest
// units, then the least power bought and not needed, then the fewest bridged pairs. Found by trying every set
// of units and, for each, every division of channels among them (a table over what is left of each unit:
// how many outputs, and how many pairs among them that can be bridged). Of equals the one that fills units in
// their order.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

namespace cabinfield {

/// An output that gives this part of what is wished for gives enough: 1 dB is hardly heard (common practice,
/// no source).
inline constexpr double enough_power_part = 0.8;

/// Every set of units is tried: with more than these it takes too long.
inline constexpr std::size_t most_assigned_units = 12;

/// A channel that wants an output.
struct OutputOptions {
  std::string name;
  double load_ohm = 0;
  double power_w = 0;  ///< that its drivers can use
};

/// Makers bridge neighbours, 1 and 2, 3 and 4 and so on (common practice, no source).
bool is_pair(int output, int other);

/// Outputs left of a unit, numbered from 1.
class FreeOutputs {
 public:
  /// `bridges`: made for it.
  FreeOutputs(int outputs, bool bridges);

  void take(int output);
  int count() const;
  int pairs() const;
  /// The lowest output that leaves `pairs_to_come` pairs; 0 where there is none.
  int next(int pairs_to_come) const;
  /// The first output of the lowest pair; 0 where there is none.
  int next_pair() const;

 private:
  std::vector<bool> free_;
  bool bridges_;
};

/// A unit with outputs left.
struct OutputOffer {
  std::string name;
  int outputs = 0;
  int pairs = 0;                                     ///< among them, that can be bridged
  double least_load_ohm = 0, least_bridged_ohm = 0;  ///< nominal
  /// W into each wish's load, single and bridged, by index of the wish; 0 where the load is too low.
  std::vector<double> power_w, bridged_power_w;
};

struct OutputChoice {
  int unit = -1;  ///< index of the offer; -1 where no output is left
  bool bridged = false;
};

struct Assignment {
  std::vector<OutputChoice> choice;  ///< of each wish
  int missing = 0;                   ///< channels without an output
  double short_w = 0;                ///< power that channels could use and do not get, where it is not enough
  int units = 0;
  double spare_w = 0;  ///< power that no channel needs
  int bridged = 0;
};

/// Power that a wish lacks at an output, W; 0 where it is enough.
double short_of_w(const OutputOptions& options, double power_w);

/// True where the first is the better one.
bool better(const Assignment& one, const Assignment& other);

/// Figures of an assignment from its choices alone. Choices must be possible: enough outputs, loads that the
/// unit drives.
Assignment judged(const std::vector<OutputOptions>& options, const std::vector<OutputOffer>& offers,
                  std::vector<OutputChoice> choice);

/// Throws std::invalid_argument for more than most_assigned_units.
Assignment propose_assignment(const std::vector<OutputOptions>& options,
                              const std::vector<OutputOffer>& offers);

}  // namespace cabinfield
