// Small-signal driver parameters (Thiele 1961, Small 1972): any sufficient subset in, a full consistent set
// out.
//
// The relations, with X = omega_s Mms and the damping of the motor Res = Bl^2/Re (A. N. Thiele, Proc. IRE
// Australia 22, 1961; R. H. Small, J. Audio Eng. Soc. 20 (1972) 383; Beranek & Mellow, Acoustics, ch. 6):
//   X = 2 pi Fs Mms = 1/(2 pi Fs Cms),  Vas = rho c^2 Sd^2 Cms,
//   Qes = X/Res,  Qms = X/Rms,  Qts = X/(Res + Rms),  1/Qts = 1/Qes + 1/Qms.
// Eleven parameters and five relations: six independent ones make a set.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/air.h"

namespace cabinfield {

/// Parameters as a data sheet gives them, SI units; those not given are empty.
struct ThieleSmallGiven {
  std::optional<double> Fs_hz, Qes, Qms, Qts, Vas_m3, Re_ohm, Le_h, Sd_m2, Mms_kg, Cms_m_n, Rms_kg_s, Bl_tm,
      Xmax_m;
};

/// A complete set: Sd, Re, Fs, Mms, Cms, Rms, Bl and the Q values belong together.
struct ThieleSmall {
  double Fs_hz = 0, Qes = 0, Qms = 0, Qts = 0, Vas_m3 = 0, Re_ohm = 0, Le_h = 0, Sd_m2 = 0;
  double Mms_kg = 0, Cms_m_n = 0, Rms_kg_s = 0, Bl_tm = 0;
  std::optional<double> Xmax_m;  ///< peak, one way
  double radius_m() const;       ///< of the equivalent piston, sqrt(Sd/pi)
  bool operator==(const ThieleSmall&) const = default;
};

/// What came of a derivation: the set (valid where no error), and one line for each thing wrong: a value out
/// of range, numbers that contradict each other by more than thiele_small_tolerance, or what is missing, in
/// data-sheet units:
///   "Fs 62 Hz, Mms 14.2 g and Cms 0.9 mm/N disagree: Fs and Mms give Cms 0.464 mm/N"
///   "Qms, Rms and Qts cannot be derived: add one of Qms, Qts or Rms"
struct ThieleSmallResult {
  ThieleSmall set;
  std::vector<std::string> errors;
};

/// Derives the missing parameters in the air they were measured in. Le and Xmax alone may be absent; Le is
/// then 0.
///
/// Where more is given than needed and agrees, the earlier in this order wins and the later is recomputed
/// from it: Re, Fs, Qes, Qms, Sd, Mms, Vas, Cms, Bl, Rms, Qts. What an impedance curve, a ruler and a scale
/// show directly comes first; Qts is last because Qms from Qts and Qes is a difference of near equals, which
/// two rounded figures cannot carry.
ThieleSmallResult derive_thiele_small(const ThieleSmallGiven& given, const Air& air);

/// The air for which data sheets are printed (constants.h).
Air data_sheet_air();

/// The same driver in other air. Cms, Rms, Bl, Re, Le, Sd and Xmax stay. Mms contains the air that moves with
/// the cone, which is lighter or heavier by the ratio of densities: both sides of a piston in a plane wall,
/// 2 (8/3) rho a^3 (Rayleigh; Beranek & Mellow, Acoustics, ch. 13). Fs and the Q values follow from the mass,
/// Vas = rho c^2 Sd^2 Cms from the air.
///
/// Known limits: the load of a driver that was measured without a wall is half as large; the air in the back
/// chamber of a driver that brings its own is part of its Cms, and stays. A set
/// lighter than its air load is taken to be all air.
ThieleSmall in_air(const ThieleSmall& set, const Air& from, const Air& to);

/// Reference efficiency, half space, of a set that belongs to this air: eta0 = (4 pi^2 / c^3) Fs^3 Vas / Qes
/// (Small 1972).
double reference_efficiency(const ThieleSmall& set, const Air& air);

}  // namespace cabinfield
