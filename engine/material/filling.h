// Porous fillings (seat foam, wadding) as an equivalent fluid, e^{+j omega t}: the model of Johnson, Koplik &
// Dashen (J. Fluid Mech. 176 (1987) 379) for the viscous and of Champoux & Allard (J. Appl. Phys. 70 (1991)
// 1975) for the thermal side (Allard & Atalla, Propagation of Sound in Porous Media, 2nd ed., sections 5.5
// and 5.7). With phi porosity, alpha tortuosity, sigma static flow resistivity, Lambda and Lambda' the
// viscous and the thermal length, eta, Pr, gamma, rho0, c of air:
//   rho = alpha rho0/phi + sigma/(j omega) sqrt(1 + 4 j alpha^2 eta rho0 omega / (sigma Lambda phi)^2)
//   K   = rho0 c^2/phi / (gamma - (gamma - 1)/(1 + 8 eta/(j Lambda'^2 Pr omega rho0)
//                                                  sqrt(1 + j rho0 omega Pr Lambda'^2/(16 eta))))
// It is causal and passive (Im rho <= 0 <= Im K at every frequency) and correct at low frequencies, unlike a
// power-law fit: rho tends to sigma/(j omega), K to the isothermal rho0 c^2/(gamma phi).
//
// Known limits: the frame is rigid (true well above the frequency where the fluid's drag moves it, some tens
// of Hz for light foam); plane waves in an isotropic medium.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/air.h"
#include "base/vector.h"

namespace cabinfield {

struct Filling {
  std::string name;
  std::string note;
  double flow_resistivity_pa_s_m2 = 0;  ///< static, > 0
  double porosity = 0.95;               ///< above 0, at most 1
  double tortuosity = 1.4;              ///< >= 1
  /// If absent, that of round pores, sqrt(8 eta tortuosity/(sigma porosity)), but at most the thermal one.
  std::optional<double> viscous_length_m;
  /// If absent, twice the viscous one, as for thin fibres (Allard & Atalla, section 5.3.4); foams have 1.5
  /// to 3. Not less than the viscous one.
  std::optional<double> thermal_length_m;
  bool operator==(const Filling&) const = default;
};

/// Density and bulk modulus including the porosity, so that pressure and flow per unit area are continuous to
/// the air. [F]
struct EquivalentFluid {
  std::vector<Complex> density_kg_m3;
  std::vector<Complex> bulk_modulus_pa;
};

/// At each frequency (Hz, > 0). Throws std::invalid_argument if a property or a frequency is out of range.
EquivalentFluid equivalent_fluid(const Filling& filling, const Air& air,
                                 const std::vector<double>& frequency_hz);

/// Specific surface impedance Z/(rho c) of a layer (thickness > 0) in front of a rigid wall, plane wave at
/// normal incidence: -j Zc cot(k d)/(rho0 c) with Zc = sqrt(rho K), k = omega sqrt(rho/K). [F] Throws as
/// equivalent_fluid.
std::vector<Complex> layer_specific_impedance(const Filling& filling, double thickness_m, const Air& air,
                                              const std::vector<double>& frequency_hz);

}  // namespace cabinfield
