// Highest levels before a limit, as plain values. Letters as in results.h; B third octaves.
#pragma once

#include <string>
#include <vector>

#include "base/table.h"

namespace cabinfield {

/// Silence, dB.
inline constexpr double silence_db = -200;

struct LimitReport {
  std::vector<std::string> kind;                             ///< names of the limits
  std::vector<double> third_octave_hz;                       ///< [B]
  Table<double, 4> sine_db;                                  ///< [P,C,S,F] each channel alone
  Table<int, 3> sine_kind;                                   ///< [P,C,F]
  Table<double, 4> music_db;                                 ///< [P,C,S,B] each channel alone
  Table<int, 2> music_kind;                                  ///< [P,C]
  Table<double, 3> system_sine_db;                           ///< [P,S,B]
  Table<double, 3> system_music_db;                          ///< [P,S,B]
  Table<double, 2> system_music_a_db, system_music_c_db;     ///< [P,S]
  std::vector<int> system_music_kind, system_music_channel;  ///< [P]
  Table<double, 2> hours;  ///< [P,S] safe exposure a day at that A-weighted level (NIOSH)
};

}  // namespace cabinfield
