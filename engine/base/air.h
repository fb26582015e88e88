// Air: density, sound speed and absorption from temperature, humidity and pressure.
//
// Density by CIPM-2007 (Picard, Davis, Glaeser, Fujii: Metrologia 45 (2008) 149) and sound speed by Cramer
// (J. Acoust. Soc. Am. 93 (1993) 2510), both as in IEC 61094-2:2009 Annex F with 400 ppm carbon dioxide.
// Absorption by ISO 9613-1:1993, equations (3) to (5) and Annex B. Viscosity (Sutherland's formula) and
// thermal conductivity of dry air by the U.S. Standard Atmosphere, 1976, equations (51) and (53).
//
// Known limits: CIPM-2007 is stated for 15 to 27 degC and 60 to 110 kPa, Cramer for 0 to 30 degC and 75 to
// 102 kPa; outside them the polynomials are extrapolated (within 0.1 % of a dry ideal gas at -20 degC).
// Humidity lowers the viscosity by less than 1 % up to 30 degC; that is neglected.
#pragma once

#include <vector>

namespace cabinfield {

/// Temperature in K, relative humidity 0 to 1, static pressure in Pa.
struct AirConditions {
  double temperature_k = 293.15;
  double humidity = 0.50;
  double pressure_pa = 101325.0;
  bool operator==(const AirConditions&) const = default;
};

/// Air at rest. Immutable values; sound speed and density may also be given directly.
struct Air {
  AirConditions conditions;
  double sound_speed_m_s = 0;
  double density_kg_m3 = 0;

  /// Specific resistance rho c, Pa s/m.
  double characteristic_impedance() const { return density_kg_m3 * sound_speed_m_s; }

  /// Energy attenuation m in 1/m at each frequency (Hz): intensity falls as exp(-m r), pressure as exp(-m r /
  /// 2).
  std::vector<double> energy_attenuation_per_m(const std::vector<double>& frequency_hz) const;
  bool operator==(const Air&) const = default;
};

/// Air in the given conditions. Throws std::invalid_argument outside -20 to 50 degC, humidity 0 to 1, 60 to
/// 110 kPa.
Air air_at(const AirConditions& conditions);

/// Air with sound speed (m/s) and density (kg/m3) as given, both > 0 (else std::invalid_argument); absorption
/// is that of the default conditions.
Air air_with(double sound_speed_m_s, double density_kg_m3);

/// Ratio of specific heats (Cramer), same conditions and limits as air_at.
double heat_capacity_ratio(const AirConditions& conditions);

/// Dynamic viscosity eta, Pa s, same conditions and limits as air_at.
double viscosity_pa_s(const AirConditions& conditions);

/// Thermal conductivity kappa, W/(m K), same conditions and limits as air_at.
double thermal_conductivity_w_m_k(const AirConditions& conditions);

/// Prandtl number eta c_p / kappa, with c_p = gamma/(gamma - 1) P/(rho T) of an ideal gas; same conditions
/// and limits as air_at.
double prandtl_number(const AirConditions& conditions);

/// ISO 9613-1 attenuation coefficient of a pure tone, dB/m, at a frequency in Hz (>= 0).
double attenuation_db_per_m(const AirConditions& conditions, double frequency_hz);

}  // namespace cabinfield
