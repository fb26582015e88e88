// Pressure at the ears: transfer function times driver, grille and channel.
#pragma once

#include <vector>

#include "base/air.h"
#include "base/table.h"
#include "base/vector.h"
#include "channel/channel.h"

namespace cabinfield {

/// Transmission of a perforated grille in front of a driver, plane wave: 1/(1 + j omega m/(2 rho c)), m = rho
/// (t + 0.85 d)/open area, for sheet of thickness t = 1 mm and holes of d = 2 mm (mass of the air in and at
/// the holes; Beranek & Ver, Noise and Vibration Control Engineering, ch. 8; dimensions common practice, no
/// source).
std::vector<Complex> grille_transmission(double open_area, const Air& air,
                                         const std::vector<double>& frequency_hz);

/// The drivers of a channel and the volume velocity of each per volt at the channel's terminals.
struct ChannelDrive {
  std::vector<int> drivers;
  std::vector<std::vector<Complex>> volume_velocity_m3_s;  ///< [driver of the channel][F] per volt
};

/// Pressure of one channel at every ear, Pa RMS: voltage * response of its settings * sum over its drivers.
/// transfer [D,N,F]; returns [N,F].
Table<Complex, 2> channel_pressure(const ChannelDrive& drive, const std::vector<Complex>& response,
                                   double voltage_v, const Table<Complex, 3>& transfer_pa_s_m3);

/// Share of a channel's input in the three signals: left only, right only, mono.
inline double signal_share(const SignalMix& mix, int signal) {
  return signal == 0 ? mix.left : signal == 1 ? mix.right : mix.left + mix.right;
}

}  // namespace cabinfield
