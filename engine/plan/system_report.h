// Results of judging the plan around the sound, as plain values: tables for the summary and the results file.
#pragma once

#include <string>
#include <vector>

#include "base/table.h"

namespace cabinfield {

/// One wiring of a channel's coils, and the power that its amplifier gives into it.
struct WiringRow {
  int channel = 0;
  std::string words;       ///< "coils in series, drivers in parallel"
  double nominal_ohm = 0;  ///< 0 where the model gives none
  double least_ohm = 0;    ///< smallest modulus in the channel's band
  double least_hz = 0;
  bool driven = false;      ///< the amplifier drives it
  double power_each_w = 0;  ///< to each driver, into that least load; 0 where it is not driven
  bool chosen = false, best = false;
};

/// The outputs that feed a channel, and the reason.
struct FeedRow {
  int amplifier = -1;  ///< -1: none
  int output = 0, bridged_with = 0, processor_output = 0;
  bool proposed = false;             ///< the scene assigns none
  double load_ohm = 0, load_hz = 0;  ///< the least of the channel's band, 0 where not known
  double power_w = 0;                ///< greatest sine power in its band
  double wanted_w = 0;               ///< what its drivers can use
  std::string why;
};

/// Load cases of the supply, in this order.
enum class LoadCase { music_running, bass_running, full_running, music_off, bass_off };
inline constexpr int load_cases = 5;

struct SystemReport {
  std::vector<std::string> amplifier, battery, cable, load_case;  ///< names
  std::vector<FeedRow> feed;                                      ///< [C]
  std::vector<WiringRow> wiring;
  Table<double, 2> amplifier_a, amplifier_v;  ///< [L,A]
  Table<double, 2> battery_a;                 ///< [L,B] out of it, before any protection circuit opens
  Table<int, 2> battery_opens;                ///< [L,B]
  std::vector<int> load_case_settled;         ///< [L] 0 where a charger drops out and comes back
  Table<double, 2> cable_a, cable_drop_v;     ///< [L,K]
  std::vector<double> cable_c;                ///< [K] copper with music, engine running or off, the hotter
  std::vector<double> cable_limit_a;          ///< [K] continuous, by its insulation
  std::vector<std::string> cable_least_metric,
      cable_least_gauge;             ///< [K] for 3 % drop, "" where none is thick enough
  std::vector<double> cable_fuse_a;  ///< [K] that protects it and carries its load, 0 where none does
  double playing_hours = 0;          ///< engine off, music; 0 where not known
  double total_kg = 0, front_kg = 0, rear_kg = 0;  ///< of the load space, 0 where not known
};

}  // namespace cabinfield
