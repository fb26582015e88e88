// A leak: a short duct to outside, taken as round, e^{+j omega t}. With S its area, a = sqrt(S/pi), L its
// depth, from outside inward:
//   - outside it radiates as a piston in a plane (piston_radiation.h): mass of 0.85 a, and what it radiates;
//   - the duct is a plane-wave line of the air in a round tube with friction and heat exchange at its wall,
//     the equivalent fluid of filling.h with sigma = 8 eta/a^2 and both lengths a: Poiseuille's resistance at
//     low frequency, the loss of the boundary layer, sqrt(2 eta rho omega) L/(a S), at high ones;
//   - its mouth inside carries the mass of a flanged end, rho 8/(3 pi) a / S (Beranek & Mellow);
//   - the friction of the flow over the rims of both ends is that of one more radius of tube at each (Ingard,
//     J. Acoust. Soc. Am. 25 (1953) 1037: L + 2a in place of L).
//
// Known limits: linear, no flow through it; a gap much longer than wide has more friction than its round
// equal.
#pragma once

#include "base/air.h"
#include "base/vector.h"

namespace cabinfield {

struct Leak {
  double area_m2 = 0;  ///< > 0
  double depth_m = 0;  ///< >= 0: of the duct, without end corrections
  bool operator==(const Leak&) const = default;
};

/// Whether the sound field around the mouth is narrowed to the mouth by whoever asks (a fine mesh on a patch
/// of its size, which then has the mass of that end itself), or not (a leak spread over a whole surface).
enum class LeakMouth { smeared, resolved };

/// Volume velocity into the mouth inside per pressure there, m3/(s Pa), at a frequency (Hz, > 0); outside,
/// the air is open. Real part never negative. Throws std::invalid_argument where area, depth or frequency is
/// out of range.
Complex leak_admittance_m3_s_pa(const Leak& leak, const Air& air, double frequency_hz,
                                LeakMouth mouth = LeakMouth::smeared);

}  // namespace cabinfield
