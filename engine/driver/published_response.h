// A response that the maker of a driver measured: on axis at 1 m in half space, 2.83 V at the terminals.
//
// The circuit's cone moves as one piece; a real one bends from some hundred hertz up, and its published
// response shows it. What the response has over the circuit multiplies the volume velocity that the field
// sees:
//
//   M(f) = published pressure / |j omega rho Q(f) e^{-m/2} 2.83 V/(2 pi 1 m)|,
//
// Q per volt of the driver in an infinite baffle, as a published response is measured: so a box changes the
// bass by its own circuit, and is not counted twice. On its axis a flush piston radiates as a point does
// (D = 1); off it the pattern remains the piston's. Excursion and impedance remain the circuit's.
//
// In dB over the logarithm of frequency M is joined by straight lines between the frequencies of the table
// (so a table made from the circuit gives 1 between its rows too), fades in over the table's lowest octave
// from 1, where rooms and baffles spoil measurements and the circuit is at its best, and keeps its last value
// above the table. Its phase is minimum (base/minimum_phase.h).
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
/// One octave to fade in and one that counts.
inline constexpr double least_response_octaves = 2;

/// What the circuit alone gives where a response is published, dB re 20 uPa.
std::vector<double> half_space_level_db(const ThieleSmall& set, const Air& air,
                                        const std::vector<double>& frequency_hz);

/// What the published response has over the circuit. `set` with the coils as they were when it was measured.
struct PublishedRatio {
  MinimumPhaseGain gain;  ///< M
  double
      lowest_octave_db;  ///< published less circuit, mean over the table's lowest octave, before it fades in
};

/// Throws std::invalid_argument where there are fewer than fewest_response_points, their frequencies do not
/// rise, or they span less than least_response_octaves.
PublishedRatio published_over_circuit(const std::vector<ResponsePoint>& published, const ThieleSmall& set,
                                      const Air& air);

}  // namespace cabinfield
