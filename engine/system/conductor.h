// Copper conductors of supply cables: resistance, voltage drop, heat.
//
// Resistance at 20 degC: metric areas by IEC 60228 class 5 (plain copper, the greatest value allowed),
// American gauges by their defining diameter 0.127 mm 92^((36-n)/39) (ASTM B258) and the resistivity of
// annealed copper, 0.017241 ohm mm2/m (IEC 60028). It rises by 3.93e-3 a kelvin (IEC 60028).
//
// Heat: a cable in still air gives off h pi d (T - T0) a metre, d its outer diameter, h both for convection
// and radiation, and takes up I^2 r(T). With the numbers below the currents of ISO 10133 for 105 degC
// insulation come out within 5 % from 10 to 50 mm2 (tests/system/conductor_test.cpp).
#pragma once

#include <string>
#include <vector>

namespace cabinfield {

/// One conductor as bought.
struct Conductor {
  std::string name;  ///< "20 mm2", "4 AWG"
  double area_m2 = 0;
  double resistance_ohm_m = 0;  ///< at 20 degC
};

/// Hottest conductor of common automotive insulation, degC (common practice, no source).
inline constexpr double insulation_limit_c = 105;
/// Air about a cable behind trim where none is given, degC (common practice, no source).
inline constexpr double default_ambient_c = 40;
/// Of one crimped and bolted connection, ohm (common practice, no source).
inline constexpr double connection_resistance_ohm = 0.2e-3;

/// A metric conductor of 0.5 to 240 mm2; between the areas of the standard the product of area and resistance
/// is interpolated. Throws std::invalid_argument outside.
Conductor metric_conductor(double area_m2);
/// An American gauge: 20 to 0 (1/0), -1 (2/0), -2 (3/0), -3 (4/0). Throws std::invalid_argument outside.
Conductor gauge_conductor(int gauge);

/// Those on sale, thinnest first: 0.5 to 240 mm2, 20 AWG to 4/0 AWG.
const std::vector<Conductor>& metric_conductors();
const std::vector<Conductor>& gauge_conductors();

/// Resistance at a temperature over that at 20 degC.
double copper_ratio(double temperature_c);

/// Temperature (degC) of a conductor that carries the current for good; infinite where it finds no end.
double conductor_temperature_c(const Conductor& conductor, double current_a, double ambient_c);
/// Current (A) at which the conductor stands at `limit_c`; 0 where the air is hotter.
double conductor_current_limit_a(const Conductor& conductor, double ambient_c,
                                 double limit_c = insulation_limit_c);

/// A run from one terminal to another and back.
struct CableRun {
  Conductor conductor;
  double length_m = 0;                ///< one way
  bool returns_in_cable = true;       ///< else through the car's body
  double body_resistance_ohm = 1e-3;  ///< of the way back through the body (common practice, no source)
  int connections = 4;                ///< crimped or bolted, both ways together
};

/// Resistance (ohm) of a run, both ways, its copper at a temperature.
double run_resistance_ohm(const CableRun& run, double copper_c);

/// The thinnest conductor of a list with which the run drops no more than `drop_v` at the current, its copper
/// as hot as that current makes it and no hotter than its insulation stands; null where none does.
const Conductor* least_conductor(const std::vector<Conductor>& list, CableRun run, double current_a,
                                 double drop_v, double ambient_c);

}  // namespace cabinfield
