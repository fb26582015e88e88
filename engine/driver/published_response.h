// A response published by the maker of a driver: on axis at 1 m in half space, 2.83 V at the terminals.
//
// In the circuit the cone is rigid; a real cone bends from some hundred hertz up, and the published response
// shows it. The ratio of the response to the circuit multiplies the volume velocity in the field:
//
//   M(f) = published pressure / |j omega rho Q(f) e^{-m/2} 2.83 V/(2 pi 1 m)|,
//
// with Q per volt of the driver in an infinite baffle, as published responses are measured; so the effect of
// a box on the bass is not counted twice. On axis a flush piston radiates like a point (D = 1); off axis the
// pattern stays that of the piston. Excursion and impedance stay those of the circuit.
//
// M is linear in dB over the logarithm of frequency between the rows of the table (so a table computed from
// the circuit gives 1 between its rows too). Over the table's lowest octave, where rooms and baffles disturb
// measurements and the circuit is most accurate, it fades in from 1. Above the table it keeps its last value.
// It has minimum phase (base/minimum_phase.h).
#pragma once

#include <vector>

#include "base/air.h"
#include "base/minimum_phase.h"
#include "driver/thiele_small.h"

namespace cabinfield {

/// A row of a published table: Hz, dB re 20 uPa.
struct ResponsePoint {
  double frequency_hz = 0;
  double level_db = 0;
};

inline constexpr std::size_t fewest_response_points = 3;
/// One octave to fade in, and one at full weight.
inline constexpr double least_response_octaves = 2;

/// Response of the circuit alone under the published conditions, dB re 20 uPa.
std::vector<double> half_space_level_db(const ThieleSmall& set, const Air& air,
                                        const std::vector<double>& frequency_hz);

/// Ratio of the published response to the circuit. `set` is for the coils as measured.
struct PublishedRatio {
  MinimumPhaseGain gain;    ///< M
  double lowest_octave_db;  ///< published minus circuit, mean over the table's lowest octave, before the fade
};

/// Throws std::invalid_argument if there are fewer than fewest_response_points, their frequencies are not
/// ascending, or they span less than least_response_octaves.
PublishedRatio published_over_circuit(const std::vector<ResponsePoint>& published, const ThieleSmall& set,
                                      const Air& air);

}  // namespace cabinfield
