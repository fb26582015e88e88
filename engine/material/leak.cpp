#include "material/leak.h"

#include <cmath>
#include <stdexcept>

#include "base/constants.h"
#include "base/wavenumber.h"
#include "material/filling.h"
#include "material/piston_radiation.h"

namespace cabinfield {
namespace {

constexpr Complex j{0, 1};

/// Air in a round tube: pores that are one straight tube.
Filling tube_of(double radius_m, const Air& air) {
  Filling tube;
  tube.flow_resistivity_pa_s_m2 = 8 * viscosity_pa_s(air.conditions) / (radius_m * radius_m);
  tube.porosity = 1;
  tube.tortuosity = 1;
  tube.viscous_length_m = radius_m;
  tube.thermal_length_m = radius_m;
  return tube;
}

}  // namespace

Complex leak_admittance_m3_s_pa(const Leak& leak, const Air& air, double frequency_hz, LeakMouth mouth) {
  if (!(leak.area_m2 > 0 && std::isfinite(leak.area_m2)))
    throw std::invalid_argument("the area of a leak must be greater than 0");
  if (!(leak.depth_m >= 0 && std::isfinite(leak.depth_m)))
    throw std::invalid_argument("the depth of a leak must not be negative");
  const double omega = 2 * pi * frequency_hz;
  const double radius = std::sqrt(leak.area_m2 / pi);
  const EquivalentFluid fluid = equivalent_fluid(tube_of(radius, air), air, {frequency_hz});
  const Complex rho = fluid.density_kg_m3[0];
  const Complex modulus = fluid.bulk_modulus_pa[0];

  // Pressures per velocity until the last line.
  const Complex rim = j * omega * (rho - air.density_kg_m3) * radius;
  const Complex outside = air.characteristic_impedance() *
                              piston_radiation(wavenumber_at(frequency_hz, air.sound_speed_m_s) * radius) +
                          rim;
  const Complex line = std::sqrt(rho) * std::sqrt(modulus);
  const Complex wavenumber = omega * std::sqrt(rho / modulus);
  const Complex there_and_back = std::exp(-2.0 * j * wavenumber * leak.depth_m);
  const Complex sum = 1.0 + there_and_back;
  const Complex difference = 1.0 - there_and_back;
  Complex impedance = line * (outside * sum + line * difference) / (line * sum + outside * difference) + rim;
  if (mouth == LeakMouth::smeared)
    impedance += j * omega * air.density_kg_m3 * piston_end_correction * radius;
  return leak.area_m2 / impedance;
}

}  // namespace cabinfield
