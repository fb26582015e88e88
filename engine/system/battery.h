// Batteries: what a chemistry is assumed to do where a scene does not say, and how long a charge lasts.
#pragma once

#include <limits>
#include <string>

namespace cabinfield {

enum class Chemistry { lead, agm, gel, lifepo4 };

/// What is taken of a chemistry where nothing is given (common practice, no source).
struct ChemistryHabits {
  const char* name;
  double rest_v;         ///< open circuit, charged
  double ohm_ah;         ///< internal resistance times capacity
  double charge_ohm_ah;  ///< the same while it is charged, nearly full
  double peukert_exponent;
  double rated_hours;         ///< at which the capacity is told
  double depth_of_discharge;  ///< to which it may be used engine off
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
