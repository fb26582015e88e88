// The lumped electrical-mechanical-acoustical circuit of a driver in its loading (Small 1972 and 1973;
// Beranek & Mellow, Acoustics, ch. 6-7), per volt RMS at its terminals, time convention e^{+j omega t}:
//   Ze = Re + j omega Le,  Zm = Rms + j omega Mms + 1/(j omega Cms) + Sd^2 Zback,
//   cone velocity u = Bl/(Ze Zm + Bl^2) per volt,  terminal impedance Ze + Bl^2/Zm.
// The air's load on the front of the cone is in Mms, as published, whatever the loading.
#pragma once

#include <vector>

#include "base/air.h"
#include "base/vector.h"
#include "driver/loading.h"
#include "driver/thiele_small.h"

namespace cabinfield {

/// How the coils of a multi-coil driver are joined. Parameters of a model are those of the connection it
/// names.
enum class CoilConnection { single, series, parallel };

/// The same driver with its coils joined otherwise. The coils are alike and wound on one former, so fully
/// coupled: series of two has four times the Re and Le and twice the Bl of parallel; `single` drives one of
/// them, the others open (half the Bl and a quarter of the Le of series). Throws std::invalid_argument if
/// coils < 1.
ThieleSmall reconnect_coils(const ThieleSmall& set, int coils, CoilConnection from, CoilConnection to);

/// Values over frequency, all of one length.
struct DriverResponse {
  /// Net into the cabin, cone plus port or minus leak, per volt RMS: m3/s RMS.
  std::vector<Complex> volume_velocity_m3_s;
  /// Peak, per volt RMS (so already times sqrt 2), positive toward the listener.
  std::vector<Complex> excursion_m;
  /// Of this one driver at its terminals.
  std::vector<Complex> impedance_ohm;
  /// Peak, per volt RMS; empty where there is no port of known diameter.
  std::vector<double> port_velocity_m_s;
};

/// Solves the circuit. `sharing` drivers of the same kind share the box, all driven alike: each sees its
/// volume (and port) divided by that number. Throws std::invalid_argument where a frequency is not above 0 or
/// the loading is not valid.
DriverResponse solve_driver_circuit(const ThieleSmall& set, const Loading& loading, int sharing,
                                    const Air& air, const std::vector<double>& frequency_hz);

}  // namespace cabinfield
