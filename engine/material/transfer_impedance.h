// What a thin partition lets through: the velocity is the same on both of its sides, the pressure jumps by
// Z v, e^{+j omega t}.
//   Panel: Z = j omega m + r + s/(j omega), of panel.h.
//   Porous sheet: Z = j omega rho_e d, of the equivalent fluid's density (filling.h); sigma d at low
//   frequency.
#pragma once

#include <optional>

#include "base/air.h"
#include "base/vector.h"
#include "material/filling.h"
#include "material/panel.h"

namespace cabinfield {

/// A layer of porous filling, thin against the wavelength in it: its frame held, its compression left out.
struct PorousSheet {
  Filling filling;
  double thickness_m = 0;  ///< > 0
  bool operator==(const PorousSheet&) const = default;
};

/// Nothing given: rigid, nothing passes. Both given: one behind the other, impedances add.
struct TransferImpedance {
  std::optional<Panel> panel;
  std::optional<PorousSheet> porous;

  bool rigid() const { return !panel && !porous; }
  bool operator==(const TransferImpedance&) const = default;
};

/// Z in Pa s/m at a frequency (Hz, > 0), of one that is not rigid. Real part never negative. Throws
/// std::invalid_argument for a rigid one and where a property or the frequency is out of range.
Complex transfer_impedance_pa_s_m(const TransferImpedance& transfer_impedance, const Air& air,
                                  double frequency_hz);

}  // namespace cabinfield
