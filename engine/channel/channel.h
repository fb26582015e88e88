// A processor channel: its input mix, its filters and settings, and the drivers that it feeds.
#pragma once

#include <optional>
#include <vector>

#include "base/vector.h"
#include "channel/crossover.h"
#include "channel/equaliser.h"

namespace cabinfield {

/// Share of the left and right signal that a channel takes. mono = half of each, side = half of left minus
/// right.
struct SignalMix {
  double left = 0;
  double right = 0;
  bool operator==(const SignalMix&) const = default;
};

/// All settings of one channel, with groups and presets applied.
struct ChannelSettings {
  SignalMix signal;
  std::optional<Crossover> highpass;
  std::optional<Crossover> lowpass;
  std::vector<EqualiserBand> equaliser;
  double gain_db = 0;
  double delay_s = 0;
  bool inverted = false;
  bool mute = false;
  bool operator==(const ChannelSettings&) const = default;
};

/// Wiring of a channel's drivers.
enum class DriverWiring { parallel, series };

/// The filter sections of the settings in processing order: high pass, low pass, equaliser. Throws as they
/// do.
std::vector<Biquad> channel_sections(const ChannelSettings& settings, double sample_rate_hz);

/// H(f) of the settings: filters, gain, delay (exp(-j omega delay)), polarity; zero if muted. Excludes the
/// signal mix.
std::vector<Complex> channel_response(const ChannelSettings& settings,
                                      const std::vector<double>& frequency_hz, double sample_rate_hz);

/// Voltage at each driver per volt at the channel's terminals: 1 in parallel, divided by impedance in series.
/// impedance_ohm[d][f]; returns [d][f]. Throws std::invalid_argument if the rows differ in length, or if
/// impedances in series add to 0.
std::vector<std::vector<Complex>> wiring_voltage_share(
    DriverWiring wiring, const std::vector<std::vector<Complex>>& impedance_ohm);

}  // namespace cabinfield
