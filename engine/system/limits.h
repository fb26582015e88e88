// The highest level of a channel before something reaches its limit, and which limit that is.
//
// For a sine of frequency f every limit is a voltage at the channel's terminals; the lowest one decides.
// Music is a steady spectrum, weight w(f) with sum 1, through the channel's gain |H(f)|. Limits of heat
// (coil, supply) add up as power, limits of peaks (signal, amplifier, cone, port) as the RMS times the crest
// factor K, taken as equal in every band:
//
//   V0^-2 = sum w |H|^2 / V_limit(f)^2            coil, supply
//   V0^-2 = K^2/2 sum w |H|^2 / V_limit(f)^2      signal, amplifier, excursion, port
//
// V0 the RMS voltage that the spectrum would have at 0 dB of gain; K^2/2 is 1 for a sine. Music of a crest
// factor of 12 dB then heats with an eighth of the sine's power (EN 60065 4.2.6). Voltages are RMS.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "base/constants.h"
#include "base/vector.h"

namespace cabinfield {

/// `signal`: full scale and the channel's own filters. `none`: no limit is known.
enum class LimitKind {
  none,
  signal,
  amplifier_voltage,
  amplifier_current,
  coil_heat,
  excursion,
  port_noise,
  supply
};
inline constexpr int limit_kinds = 8;
/// In the order of LimitKind: "none", "signal", "amplifier voltage", …
const std::array<const char*, limit_kinds>& limit_names();

/// Air in a port faster than this is audible, m/s peak (common practice, no source).
inline constexpr double port_noise_m_s = 17;

/// One driver of a channel, at each frequency.
struct LimitedDriver {
  std::vector<double> share;          ///< of the terminal voltage
  std::vector<double> modulus_ohm;    ///< of its impedance
  std::vector<double> excursion_m_v;  ///< peak, per volt RMS at its own terminals
  std::vector<double> port_m_s_v;     ///< peak, per volt RMS at its own terminals; empty without a port
  double coil_ohm = 0;                ///< DC resistance, which takes the heat
  double power_w = 0;                 ///< rating of the driven coils; 0 where not known
  double peak_m = 0;                  ///< linear excursion; 0 where not known
};

/// A channel's limits in volts at its terminals: voltage_v[kind][f], infinite where a kind does not limit it.
using LimitVoltages = std::array<std::vector<double>, limit_kinds>;

/// Those of its drivers: coil heat, excursion, port noise; all others infinite.
LimitVoltages driver_limits(const std::vector<LimitedDriver>& drivers, std::size_t frequencies);

struct Limit {
  double voltage_v = 0;  ///< infinite where nothing limits
  LimitKind kind = LimitKind::none;
};

/// Of a sine at one of the frequencies.
Limit sine_limit(const LimitVoltages& limits, std::size_t frequency);

/// V0 of music: `weight` and `gain` at each frequency (weights of sum 1), `crest_db` of the music.
Limit music_limit(const LimitVoltages& limits, const std::vector<double>& weight,
                  const std::vector<double>& gain, double crest_db);

/// Equal power per octave from 20 Hz to 20 kHz (pink), of sum 1: weights of the trapezoidal rule in ln f.
/// Zero outside.
std::vector<double> pink_weights(const std::vector<double>& frequency_hz);

}  // namespace cabinfield
