// What a channel is to its amplifier: the load over frequency, and what its drivers can use.
#pragma once

#include <vector>

#include "scene/scene.h"
#include "system/amplifier.h"
#include "system/coil_wiring.h"

namespace cabinfield {

/// Frequencies at which loads are looked at, Hz: 10 Hz to 20 kHz, 24 an octave.
const std::vector<double>& load_frequency_hz();

struct ChannelLoad {
  std::vector<Complex> load_ohm;  ///< at load_frequency_hz
  std::vector<double> gain;       ///< of the channel as drawn, 1 at its loudest
  LeastLoad least;                ///< in its band: where its gain is within 10 dB of the loudest
  double nominal_ohm = 0;         ///< 0 where a model does not say
  double wanted_w = 0;            ///< what its drivers can use, no more than the level asked for needs
};

/// Of every channel as drawn.
std::vector<ChannelLoad> channel_loads(const Scene& scene);

/// A way to join the coils of a channel whose drivers are alike; empty where they are not.
struct WayLoad {
  CoilWay way;
  LeastLoad least;
  double nominal_ohm = 0;
  bool chosen = false;
};
std::vector<WayLoad> way_loads(const Scene& scene, int channel, const ChannelLoad& load);

/// Greatest real power (W) of a sine in the channel's band from an output.
double greatest_power_w(const ChannelLoad& load, const Amplifier& amplifier, bool bridged, double supply_v);

}  // namespace cabinfield
