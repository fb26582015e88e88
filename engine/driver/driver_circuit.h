// The lumped electrical-mechanical-acoustical circuit of a driver in its loading (Small 1972 and 1973;
// Beranek & Mellow, Acoustics, ch. 6-7), per volt RMS at its terminals, time convention e^{+j omega t}:
//   Ze = Re + j omega Le,  Zm = Rms + j omega Mms + 1/(j omega Cms) + Sd^2 Zback,
//   cone velocity u = Bl/(Ze Zm + Bl^2) per volt,  terminal impedance Ze + Bl^2/Zm.
// Mms, as published, includes the air load on the front of the cone, whatever the loading.
#pragma once

#include <vector>

#include "base/air.h"
#include "base/vector.h"
#include "driver/loading.h"
#include "driver/thiele_small.h"

namespace cabinfield {

/// Connection of the coils of a multi-coil driver. The parameters of a model are for the connection that it
/// names.
enum class CoilConnection { single, series, parallel };

/// The same driver with another connection of its coils. The coils are identical and wound on one former, so
/// fully coupled: two in series have four times the Re and Le and twice the Bl of two in parallel; `single`
/// drives one of them with the others open (half the Bl and a quarter of the Le of series). Throws
/// std::invalid_argument if coils < 1.
ThieleSmall reconnect_coils(const ThieleSmall& set, int coils, CoilConnection from, CoilConnection to);

/// Values over frequency, all of one length.
struct DriverResponse {
  /// Net volume velocity into the cabin (cone plus port, or minus leak) per volt RMS, m3/s RMS.
  std::vector<Complex> volume_velocity_m3_s;
  /// Peak per volt RMS (includes the factor sqrt 2), positive toward the listener.
  std::vector<Complex> excursion_m;
  /// Of one driver, at its terminals.
  std::vector<Complex> impedance_ohm;
  /// Peak per volt RMS; empty without a port of known diameter.
  std::vector<double> port_velocity_m_s;
};

/// Solves the circuit. `sharing` identical drivers with the same signal share the box: each sees its volume
/// (and port) divided by that number. Throws std::invalid_argument if a frequency is not above 0, or the
/// loading is not valid.
DriverResponse solve_driver_circuit(const ThieleSmall& set, const Loading& loading, int sharing,
                                    const Air& air, const std::vector<double>& frequency_hz);

}  // namespace cabinfield
