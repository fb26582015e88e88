#include "base/air.h"

#include <cmath>
#include <numbers>
#include <stdexcept>

namespace cabinfield {
namespace {

constexpr double ice_point_k = 273.15;
constexpr double carbon_dioxide_fraction = 0.0004;  // IEC 61094-2:2009, F.2

void require_valid(const AirConditions& air) {
  const double celsius = air.temperature_k - ice_point_k;
  // A tolerance, so that -20 degC survives its conversion to kelvin.
  if (!(celsius >= -20.0 - 1e-9 && celsius <= 50.0 + 1e-9))
    throw std::invalid_argument("air temperature is outside -20 to 50 degC");
  if (!(air.humidity >= 0 && air.humidity <= 1))
    throw std::invalid_argument("relative humidity is outside 0 to 100 %");
  if (!(air.pressure_pa >= 60e3 && air.pressure_pa <= 110e3))
    throw std::invalid_argument("static pressure is outside 60 to 110 kPa");
}

// x_w: humidity times saturation pressure times enhancement factor over static pressure.
double water_vapour_fraction(const AirConditions& air) {
  const double t_k = air.temperature_k;
  const double t = t_k - ice_point_k;
  const double saturation_pa =
      std::exp(1.2378847e-5 * t_k * t_k - 1.9121316e-2 * t_k + 33.93711047 - 6.3431645e3 / t_k);
  const double enhancement = 1.00062 + 3.14e-8 * air.pressure_pa + 5.6e-7 * t * t;
  return air.humidity * saturation_pa / air.pressure_pa * enhancement;
}

double density(const AirConditions& air) {
  const double p = air.pressure_pa;
  const double t_k = air.temperature_k;
  const double t = t_k - ice_point_k;
  const double xw = water_vapour_fraction(air);
  const double compressibility = 1.0 -
                                 p / t_k *
                                     (1.58123e-6 - 2.9331e-8 * t + 1.1043e-10 * t * t +
                                      (5.707e-6 - 2.051e-8 * t) * xw + (1.9898e-4 - 2.376e-6 * t) * xw * xw) +
                                 (p / t_k) * (p / t_k) * (1.83e-11 - 0.765e-8 * xw * xw);
  return (3.483740 + 1.4446 * (carbon_dioxide_fraction - 0.0004)) * 1e-3 * p / (compressibility * t_k) *
         (1.0 - 0.3780 * xw);
}

// Cramer's common form for sound speed and heat capacity ratio, a0 to a15 as numbered there.
double cramer_polynomial(const double (&a)[16], const AirConditions& air) {
  const double t = air.temperature_k - ice_point_k;
  const double p = air.pressure_pa;
  const double xw = water_vapour_fraction(air);
  const double xc = carbon_dioxide_fraction;
  return a[0] + a[1] * t + a[2] * t * t + (a[3] + a[4] * t + a[5] * t * t) * xw +
         (a[6] + a[7] * t + a[8] * t * t) * p + (a[9] + a[10] * t + a[11] * t * t) * xc + a[12] * xw * xw +
         a[13] * p * p + a[14] * xc * xc + a[15] * xw * p * xc;
}

double sound_speed(const AirConditions& air) {
  constexpr double coefficients[16] = {331.5024,  0.603055,  -0.000528, 51.471935, 0.1495874, -0.000782,
                                       -1.82e-7,  3.73e-8,   -2.93e-10, -85.20931, -0.228525, 5.91e-5,
                                       -2.835149, -2.15e-13, 29.179762, 0.000486};
  return cramer_polynomial(coefficients, air);
}

}  // namespace

Air air_at(const AirConditions& conditions) {
  require_valid(conditions);
  return {conditions, sound_speed(conditions), density(conditions)};
}

Air air_with(double sound_speed_m_s, double density_kg_m3) {
  if (!(sound_speed_m_s > 0 && std::isfinite(sound_speed_m_s)))
    throw std::invalid_argument("the sound speed must be greater than 0 m/s");
  if (!(density_kg_m3 > 0 && std::isfinite(density_kg_m3)))
    throw std::invalid_argument("the density must be greater than 0 kg/m3");
  return {AirConditions{}, sound_speed_m_s, density_kg_m3};
}

double heat_capacity_ratio(const AirConditions& conditions) {
  constexpr double coefficients[16] = {1.400822, -1.75e-5,   -1.73e-7,  -0.0873629, -0.0001665, -3.26e-6,
                                       2.047e-8, -1.26e-10,  5.939e-14, -0.1199717, -0.0008693, 1.979e-6,
                                       -0.01104, -3.478e-16, 0.0450616, 1.82e-6};
  require_valid(conditions);
  return cramer_polynomial(coefficients, conditions);
}

double viscosity_pa_s(const AirConditions& conditions) {
  require_valid(conditions);
  const double t_k = conditions.temperature_k;
  return 1.458e-6 * t_k * std::sqrt(t_k) / (t_k + 110.4);
}

double thermal_conductivity_w_m_k(const AirConditions& conditions) {
  require_valid(conditions);
  const double t_k = conditions.temperature_k;
  return 2.64638e-3 * t_k * std::sqrt(t_k) / (t_k + 245.4 * std::pow(10.0, -12.0 / t_k));
}

double prandtl_number(const AirConditions& conditions) {
  const double gamma = heat_capacity_ratio(conditions);
  const double heat_capacity =
      gamma / (gamma - 1.0) * conditions.pressure_pa / (density(conditions) * conditions.temperature_k);
  return viscosity_pa_s(conditions) * heat_capacity / thermal_conductivity_w_m_k(conditions);
}

double attenuation_db_per_m(const AirConditions& conditions, double frequency_hz) {
  constexpr double reference_pressure = 101325.0;
  constexpr double reference_temperature_k = 293.15;
  constexpr double triple_point_k = 273.16;

  const double t_k = conditions.temperature_k;
  const double pressure = conditions.pressure_pa / reference_pressure;
  const double temperature = t_k / reference_temperature_k;
  const double saturation = std::pow(10.0, -6.8346 * std::pow(triple_point_k / t_k, 1.261) + 4.6151);
  const double vapour_percent = 100.0 * conditions.humidity * saturation / pressure;

  const double oxygen_hz =
      pressure * (24.0 + 4.04e4 * vapour_percent * (0.02 + vapour_percent) / (0.391 + vapour_percent));
  const double nitrogen_hz =
      pressure / std::sqrt(temperature) *
      (9.0 + 280.0 * vapour_percent * std::exp(-4.170 * (1.0 / std::cbrt(temperature) - 1.0)));

  const double f2 = frequency_hz * frequency_hz;
  const double classical = 1.84e-11 / pressure * std::sqrt(temperature);
  const double oxygen = 0.01275 * std::exp(-2239.1 / t_k) / (oxygen_hz + f2 / oxygen_hz);
  const double nitrogen = 0.1068 * std::exp(-3352.0 / t_k) / (nitrogen_hz + f2 / nitrogen_hz);
  return 8.686 * f2 * (classical + std::pow(temperature, -2.5) * (oxygen + nitrogen));
}

std::vector<double> Air::energy_attenuation_per_m(const std::vector<double>& frequency_hz) const {
  std::vector<double> attenuation;
  attenuation.reserve(frequency_hz.size());
  for (double frequency : frequency_hz)
    attenuation.push_back(attenuation_db_per_m(conditions, frequency) * std::numbers::ln10 / 10.0);
  return attenuation;
}

}  // namespace cabinfield
