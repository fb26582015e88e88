#include "material/material.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "base/constants.h"

namespace cabinfield {
namespace {

// Written out, so that a real part of zero stays zero.
Complex inverse(Complex zeta) {
  if (!(std::norm(zeta) > 0 && std::isfinite(std::norm(zeta)) && zeta.real() >= 0))
    throw std::invalid_argument(
        "a specific impedance must be finite and not 0, with a real part of at least 0");
  return std::conj(zeta) / std::norm(zeta);
}

/// Used instead of 0 Hz, where layer and sheet have limits.
constexpr double least_hz = 1e-3;

/// Removes a negative real part due to rounding: 1e-13 of the reactance.
Complex passive_inverse(Complex zeta) { return inverse({std::max(zeta.real(), 0.0), zeta.imag()}); }

}  // namespace

std::vector<Complex> specific_admittance(const Material& material, const Air& air,
                                         const std::vector<double>& frequency_hz) {
  const Complex constant = material.specific_impedance ? inverse(*material.specific_impedance) : Complex(0);
  std::vector<Complex> beta(frequency_hz.size(), constant);
  if (!material.absorption.empty()) {
    const std::vector<double> absorbing = absorption_admittance(material.absorption, frequency_hz);
    for (std::size_t f = 0; f < beta.size(); ++f) beta[f] += absorbing[f];
  }
  if (material.panel)
    for (std::size_t f = 0; f < beta.size(); ++f)
      beta[f] += panel_admittance(*material.panel, air, frequency_hz[f]);
  auto factored = [&] {
    if (material.admittance_factor != 1)
      for (Complex& value : beta) value *= material.admittance_factor;
    return beta;
  };
  if (!material.layer && !(material.sheet && !material.sheet->rigid())) return factored();
  std::vector<double> above_zero = frequency_hz;
  for (double& f : above_zero) f = std::max(f, least_hz);
  if (material.layer) {
    const std::vector<Complex> zeta =
        layer_specific_impedance(material.layer->filling, material.layer->thickness_m, air, above_zero);
    for (std::size_t f = 0; f < beta.size(); ++f) beta[f] += passive_inverse(zeta[f]);
  }
  if (material.sheet && !material.sheet->rigid())
    for (std::size_t f = 0; f < beta.size(); ++f)
      beta[f] += passive_inverse(1.0 + transfer_impedance_pa_s_m(*material.sheet, air, above_zero[f]) /
                                           air.characteristic_impedance());
  return factored();
}

bool has_real_admittance(const Material& material) {
  return !material.panel && !material.layer && (!material.sheet || material.sheet->rigid()) &&
         (!material.specific_impedance || material.specific_impedance->imag() == 0);
}

std::vector<std::string> material_warnings(const Material& material, const Air& air) {
  std::vector<std::string> warnings;
  for (const auto& [band_hz, absorption] : material.absorption)
    if (absorption > greatest_real_absorption)
      warnings.push_back(
          fmt::format("absorption {:.4g} at {:.6g} Hz is above {:.5f}, the largest possible with a real "
                      "impedance; that is used instead",
                      absorption, band_hz, greatest_real_absorption));
  if (material.specific_impedance) {
    const double conductance = inverse(*material.specific_impedance).real();
    if (conductance > 0)
      warnings.push_back(
          fmt::format("a constant specific impedance also absorbs at the lowest frequencies: a closed cabin "
                      "loses its pressure gain below c Re(beta) S / (2 pi V) = {:.3g} Hz for each m2 of this "
                      "surface per m3 of cabin; use an absorption table to avoid that",
                      pressure_gain_corner_hz(conductance, 1.0, 1.0, air)));
  }
  return warnings;
}

double pressure_gain_corner_hz(double specific_conductance, double area_m2, double volume_m3,
                               const Air& air) {
  return air.sound_speed_m_s * specific_conductance * area_m2 / (2.0 * pi * volume_m3);
}

}  // namespace cabinfield
