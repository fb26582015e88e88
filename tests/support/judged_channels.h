// Invented channels at two seats for tests of measures: the formula of tests/reference/measures.py, and
// simple ones whose measures are known by hand.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "base/table.h"
#include "base/vector.h"
#include "listening/measures.h"

namespace cabinfield::test {

struct JudgedChannels {
  std::vector<double> frequency_hz;
  Table<Complex, 3> pressure_pa;     ///< [C,E,F]
  std::vector<double> signal_share;  ///< [3,C]
  std::vector<double> arrival_s;     ///< [C,S] at the head: mean of its ears
  std::vector<double> length_m;      ///< [C,S]

  std::size_t channels() const { return pressure_pa.shape()[0]; }
  std::size_t seats() const { return pressure_pa.shape()[1] / 2; }
  ChannelPressures pressure() const {
    return channel_pressures(pressure_pa.values().data(), channels(), pressure_pa.shape()[1],
                             frequency_hz.size());
  }
  Heard heard() const { return {pressure(), signal_share, arrival_s, length_m}; }
  MeasureSetting setting() const { return {frequency_hz, channels(), seats(), {}}; }
};

/// Four channels, two seats: see the reference. Lengths are those of the direct sound.
JudgedChannels reference_channels();

/// Channels that reach ears after times with gains, [C][E] each, all playing in all signals.
JudgedChannels delayed_channels(const std::vector<double>& frequency_hz,
                                const std::vector<std::vector<double>>& delay_s,
                                const std::vector<std::vector<double>>& gain);

/// As a mirror in the middle plane leaves them: seats, ears and left and right channels (pairs, by index)
/// change places; so do the left and right signals.
JudgedChannels mirrored(const JudgedChannels& given, const std::vector<std::size_t>& mirror_channel);

/// The values of one measure.
struct Judged {
  double over_seats = 0;
  std::vector<double> at_seat, detail;
};
Judged judge_one(const JudgedChannels& channels, const MeasureOptions& options,
                 std::vector<SideAngleScale> side_scale = {});

}  // namespace cabinfield::test
