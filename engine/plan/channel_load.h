// What a channel is to its amplifier: the load over frequency, how much of full scale it lets through, and
// what its drivers can use.
//
// Full scale of the signal drives an amplifier to the limit of its clean output at 0 dB of channel gain. A
// gain below 0 dB is a setting, not a safeguard: where cables, fuses and loads are judged it counts as 0 dB.
#pragma once

#include <vector>

#include "scene/scene.h"
#include "system/amplifier.h"
#include "system/coil_wiring.h"
#include "system/limits.h"

namespace cabinfield {

/// Frequencies at which loads are computed, Hz: 10 Hz to 20 kHz, 24 an octave.
const std::vector<double>& load_frequency_hz();

struct ChannelLoad {
  std::vector<Complex> load_ohm;  ///< at load_frequency_hz
  /// Part of full scale that filters and equaliser let through in the loudest preset: 1 at most, 1 at its
  /// loudest. Presets in which the channel is muted do not count, unless all are.
  std::vector<double> gain;
  LeastLoad least;         ///< in its band: where its gain is within 10 dB of the loudest
  double nominal_ohm = 0;  ///< 0 where a model gives none
  double wanted_w = 0;     ///< that its drivers can use, up to what the brief's level needs
};

/// The same for the settings of one preset, their gain counted as it is: 1 at most.
std::vector<double> part_of_full_scale(const ChannelSettings& settings, double sample_rate_hz,
                                       const std::vector<double>& frequency_hz);

/// Presets in which a channel plays; all of them where it plays in none.
std::vector<const ChannelSettings*> playing_settings(const Scene& scene, std::size_t channel);

/// A channel's drivers as its amplifier sees them, at each frequency.
struct DrivenChannel {
  std::vector<Complex> load_ohm;
  std::vector<LimitedDriver> drivers;  ///< in the order of Channel::drivers
};
DrivenChannel driven_channel(const Scene& scene, std::size_t channel,
                             const std::vector<double>& frequency_hz);

/// Power rating of the coils that are driven: one of two coils takes half; 0 where the model gives none.
double driven_rating_w(const MountedDriver& driver);

/// Of every channel.
std::vector<ChannelLoad> channel_loads(const Scene& scene);

/// A wiring of the coils of a channel with equal drivers; no wirings where they differ.
struct WayLoad {
  CoilWay way;
  LeastLoad least;
  double nominal_ohm = 0;
  bool chosen = false;
};
std::vector<WayLoad> way_loads(const Scene& scene, int channel, const ChannelLoad& load);

/// Greatest real power (W) of a sine in the channel's band from an output.
double greatest_power_w(const ChannelLoad& load, const Amplifier& amplifier, bool bridged, double supply_v);

/// Bass notes below this frequency last for minutes at full scale (common practice, no source).
inline constexpr double highest_bass_hz = 150;
/// Power (W) for which cables and fuses are dimensioned: a full-scale sine, attenuated as the channel
/// attenuates 20 to 150 Hz where it does so least, into the load in its band that takes the most.
double bass_power_w(const ChannelLoad& load, const Amplifier& amplifier, bool bridged, double supply_v);

}  // namespace cabinfield
