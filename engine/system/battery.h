// Batteries: what a chemistry is assumed to do where a scene does not say, and how long a charge lasts.
#pragma once

#include <limits>
#include <string>

namespace cabinfield {

enum class Chemistry { lead, agm, gel, lifepo4 };

/// What is assumed of a chemistry where nothing is given (common practice, no source; charging voltages and
/// currents of AGM and lithium-iron from memory of data sheets: 14.4 to 14.8 V, float 13.5 to 13.8 V, 0.2 to
/// 0.3 of the capacity an hour; 3.65 V a cell, at most once the capacity an hour).
struct ChemistryHabits {
  const char* name;
  double rest_v;         ///< open circuit, charged
  double ohm_ah;         ///< internal resistance times capacity
  double charge_ohm_ah;  ///< the same while it is charged, nearly full
  double peukert_exponent;
  double rated_hours;         ///< at which the capacity is told
  double depth_of_discharge;  ///< to which it may be used engine off
  double charge_per_h;        ///< greatest charging current over capacity, 1/h
  double charge_v;            ///< greatest charging voltage
  double float_v;             ///< least that keeps it charged
  double empty_v;             ///< open circuit, nearly empty
  bool lead = true;           ///< may be joined in parallel with others of that family
};
const ChemistryHabits& habits_of(Chemistry chemistry);

struct Battery {
  std::string name;
  Chemistry chemistry = Chemistry::lead;
  double capacity_ah = 0;
  double rest_v = 12.6;
  double resistance_ohm = 0;
  double charge_resistance_ohm = 0;  ///< while it is charged
  double peukert_exponent = 1.2;
  double rated_hours = 20;
  double depth_of_discharge = 0.5;
  double charge_a = 0, charge_v = 0;  ///< greatest while it is charged, 0 where not known
  /// Of the protection circuit; infinite where there is none.
  double continuous_a = std::numeric_limits<double>::infinity();
  double peak_a = std::numeric_limits<double>::infinity();
};

/// A battery with the habits of its chemistry.
Battery battery_of(Chemistry chemistry, double capacity_ah);

/// Hours to empty at a steady current, Peukert in rated-hour form: H (C/(I H))^k. `current_a` > 0.
double peukert_hours(double capacity_ah, double rated_hours, double exponent, double current_a);

/// Hours at a steady current to the depth of discharge of the battery.
double playing_hours(const Battery& battery, double current_a);

}  // namespace cabinfield
