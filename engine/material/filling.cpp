#include "material/filling.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "base/constants.h"

namespace cabinfield {
namespace {

constexpr Complex j{0, 1};

bool is_positive(double value) { return value > 0 && std::isfinite(value); }

void require_valid(const Filling& filling) {
  if (!is_positive(filling.flow_resistivity_pa_s_m2))
    throw std::invalid_argument("the flow resistivity of a filling must be greater than 0");
  if (!(filling.porosity > 0 && filling.porosity <= 1))
    throw std::invalid_argument("the porosity of a filling must be greater than 0 and at most 1");
  if (!(filling.tortuosity >= 1 && std::isfinite(filling.tortuosity)))
    throw std::invalid_argument("the tortuosity of a filling must be at least 1");
  for (const auto& length : {filling.viscous_length_m, filling.thermal_length_m})
    if (length && !is_positive(*length))
      throw std::invalid_argument("the viscous and thermal lengths of a filling must be greater than 0");
  if (filling.viscous_length_m && filling.thermal_length_m &&
      *filling.thermal_length_m < *filling.viscous_length_m)
    throw std::invalid_argument("the thermal length of a filling must be at least its viscous length");
}

}  // namespace

EquivalentFluid equivalent_fluid(const Filling& filling, const Air& air,
                                 const std::vector<double>& frequency_hz) {
  require_valid(filling);
  const double eta = viscosity_pa_s(air.conditions);
  const double prandtl = prandtl_number(air.conditions);
  const double gamma = heat_capacity_ratio(air.conditions);
  const double rho0 = air.density_kg_m3;
  const double stiffness = rho0 * air.sound_speed_m_s * air.sound_speed_m_s;

  const double sigma = filling.flow_resistivity_pa_s_m2;
  const double phi = filling.porosity;
  const double alpha = filling.tortuosity;
  const double round_pores = std::sqrt(8 * eta * alpha / (sigma * phi));
  const double viscous = filling.viscous_length_m.value_or(
      std::min(round_pores, filling.thermal_length_m.value_or(round_pores)));
  const double thermal = filling.thermal_length_m.value_or(2 * viscous);

  EquivalentFluid fluid;
  fluid.density_kg_m3.reserve(frequency_hz.size());
  fluid.bulk_modulus_pa.reserve(frequency_hz.size());
  for (double frequency : frequency_hz) {
    if (!is_positive(frequency)) throw std::invalid_argument("a frequency must be greater than 0 Hz");
    const double omega = 2 * pi * frequency;
    const double inertia = 2 * alpha / (sigma * viscous * phi);
    const Complex drag = sigma * std::sqrt(1.0 + j * (inertia * inertia * eta * rho0 * omega));
    fluid.density_kg_m3.push_back(alpha * rho0 / phi + drag / (j * omega));

    const double heat = omega * rho0 * prandtl * thermal * thermal / (8 * eta);
    const Complex exchange = 1.0 + std::sqrt(1.0 + 0.5 * j * heat) / (j * heat);
    fluid.bulk_modulus_pa.push_back(stiffness / phi / (gamma - (gamma - 1) / exchange));
  }
  return fluid;
}

std::vector<Complex> layer_specific_impedance(const Filling& filling, double thickness_m, const Air& air,
                                              const std::vector<double>& frequency_hz) {
  if (!is_positive(thickness_m))
    throw std::invalid_argument("the thickness of a filling must be greater than 0");
  const EquivalentFluid fluid = equivalent_fluid(filling, air, frequency_hz);
  std::vector<Complex> impedance;
  impedance.reserve(frequency_hz.size());
  for (std::size_t f = 0; f < frequency_hz.size(); ++f) {
    const Complex rho = fluid.density_kg_m3[f];
    const Complex modulus = fluid.bulk_modulus_pa[f];
    // Principal roots: Im rho <= 0 <= Im K puts k in the lower right quadrant, a wave that decays forward.
    const Complex wavenumber = 2 * pi * frequency_hz[f] * std::sqrt(rho / modulus);
    // -j cot(kd) by the decaying exponential, which does not overflow for a thick layer.
    const Complex there_and_back = std::exp(-2.0 * j * wavenumber * thickness_m);
    impedance.push_back(std::sqrt(rho) * std::sqrt(modulus) * (1.0 + there_and_back) /
                        (1.0 - there_and_back) / air.characteristic_impedance());
  }
  return impedance;
}

}  // namespace cabinfield
