// The acoustic boundary condition of a surface: its specific admittance beta = rho c / Z over frequency,
// e^{+j omega t}.
//
// Kinds: rigid; a specific impedance zeta = Z/(rho c), the same at all frequencies; a table of
// random-incidence absorption coefficients; a flexible panel to outside (mass, resonance, loss); a porous
// layer in front of a rigid back; a thin sheet with open air behind it. If several are given, admittances
// add.
//
// Layer and sheet use the plane wave at normal incidence as locally reacting: 1/zeta of the layer
// (filling.h), and 1/(1 + Z/(rho c)) of a sheet of transfer impedance Z (transfer_impedance.h), whose far
// side radiates plane waves. Such a sheet represents a partition where its two sides are treated separately.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/air.h"
#include "base/vector.h"
#include "material/absorption.h"
#include "material/filling.h"
#include "material/panel.h"
#include "material/transfer_impedance.h"

namespace cabinfield {

struct PorousLayer {
  Filling filling;
  double thickness_m = 0;  ///< > 0, to the rigid back
  bool operator==(const PorousLayer&) const = default;
};

/// A material as given. Nothing given means rigid.
struct Material {
  std::string name;
  std::string note;
  std::optional<Complex> specific_impedance;  ///< zeta; real part >= 0, not 0
  AbsorptionTable absorption;
  std::optional<Panel> panel;
  std::optional<PorousLayer> layer;
  std::optional<TransferImpedance> sheet;
  double admittance_factor = 1;  ///< multiplies the sum of the above; not 1 only in Monte Carlo samples

  bool rigid() const {
    return !specific_impedance && absorption.empty() && !panel && !layer && (!sheet || sheet->rigid());
  }
  bool operator==(const Material&) const = default;
};

/// Specific admittance at each frequency (Hz, >= 0), real part never negative. Absorption tables by
/// absorption_admittance. Throws std::invalid_argument for a specific impedance that is zero, not finite, or
/// has a negative real part, and as absorption_admittance, panel_admittance, layer_specific_impedance and
/// transfer_impedance_pa_s_m do.
std::vector<Complex> specific_admittance(const Material& material, const Air& air,
                                         const std::vector<double>& frequency_hz);

/// True if the admittance is real at all frequencies: reflection factors are then real too.
bool has_real_admittance(const Material& material);

/// Warnings, without the material's name: coefficients above the greatest of a real impedance; a constant
/// specific impedance, with the frequency below which a cabin loses its pressure gain.
std::vector<std::string> material_warnings(const Material& material, const Air& air);

/// Frequency (Hz) below which a closed cabin of that volume loses its pressure gain, at 6 dB per octave,
/// through a surface of that area with constant specific conductance Re beta: c Re(beta) S / (2 pi V), where
/// the surface's flow Re(beta) S p/(rho c) equals the flow j omega V p/(rho c^2) into the air's spring.
double pressure_gain_corner_hz(double specific_conductance, double area_m2, double volume_m3, const Air& air);

/// Plane-wave reflection factor at the angle whose cosine to the normal is given: (cos - beta)/(cos + beta).
inline Complex reflection_factor(Complex beta, double cosine) { return (cosine - beta) / (cosine + beta); }

}  // namespace cabinfield
