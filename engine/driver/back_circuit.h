// The acoustic circuit behind one cone: a cavity, and beside it whatever lets air out of the cavity into the
// cabin.
//
//   cone --+-- cavity: absorption R + 1/(j omega C)
//          +-- vent:   j omega M + R(omega)            port of a vented box, holes of a door
//          +-- leak:   1/G                             leakage of a vented box
//
// All that leaves the cavity again enters the cabin in antiphase to the cone, so the net flow into the cabin
// is what goes into the cavity (R. H. Small, J. Audio Eng. Soc. 21 (1973) 363). Acoustic units: impedance Pa
// s/m3, e^{+j omega t}.
#pragma once

#include "base/air.h"
#include "base/vector.h"
#include "driver/loading.h"
#include "driver/thiele_small.h"

namespace cabinfield {

/// Elements as one driver sees them.
struct BackCircuit {
  double compliance_m3_pa = 0;        ///< of the cavity; 0 where there is none: the air behind is soft
  double absorption_pa_s_m3 = 0;      ///< in series with the compliance
  double leak_m3_pa_s = 0;            ///< conductance of the leakage
  double vent_mass_kg_m4 = 0;         ///< 0 where there is no vent
  double vent_viscous_pa_s_m3 = 0;    ///< resistance of the vent at 1 rad/s, growing as sqrt(omega)
  double vent_radiation_pa_s_m3 = 0;  ///< resistance of the vent at 1 rad/s, growing as omega^2
  double vent_area_m2 = 0;            ///< 0 where not known

  /// At one angular frequency: impedance on the back of the cone, and flows per volume velocity of the cone.
  struct Flow {
    Complex impedance_pa_s_m3;
    Complex net;   ///< into the cabin, cone included
    Complex vent;  ///< out of the vent
  };
  Flow at(double angular_frequency) const;
};

/// The circuit of a loading that `sharing` drivers like this one have in common: each sees its volume, vents
/// and leaks divided by that number. Throws std::invalid_argument where sharing < 1 or a volume, Q or tuning
/// is not above 0.
BackCircuit back_circuit(const Loading& loading, const ThieleSmall& set, int sharing, const Air& air);

}  // namespace cabinfield
