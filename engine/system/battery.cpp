#include "system/battery.h"

#include <algorithm>
#include <cmath>

namespace cabinfield {

const ChemistryHabits& habits_of(Chemistry chemistry) {
  // Nearly full, 14.4 V drives a fifth of its capacity into a lead battery and half of it into a lithium-iron
  // one. A 70 Ah starter battery has some 5 mohm, an AGM of that size 3.5, a gel 6; a 50 Ah lithium-iron pack
  // with its protection circuit 6.
  static const ChemistryHabits lead{"lead", 12.6, 0.35, 9, 1.25, 20, 0.3, 0.25, 14.8, 13.5, 11.8, true};
  static const ChemistryHabits agm{"agm", 12.6, 0.25, 9, 1.12, 20, 0.5, 0.3, 14.8, 13.5, 11.8, true};
  static const ChemistryHabits gel{"gel", 12.6, 0.42, 9, 1.18, 20, 0.5, 0.2, 14.4, 13.5, 11.8, true};
  static const ChemistryHabits lifepo4{"lifepo4", 13.2, 0.30, 2.4, 1.03, 1, 0.8, 1, 14.6, 13.4, 12.8, false};
  switch (chemistry) {
    case Chemistry::agm:
      return agm;
    case Chemistry::gel:
      return gel;
    case Chemistry::lifepo4:
      return lifepo4;
    case Chemistry::lead:
      break;
  }
  return lead;
}

Battery battery_of(Chemistry chemistry, double capacity_ah) {
  const ChemistryHabits& habits = habits_of(chemistry);
  Battery battery;
  battery.chemistry = chemistry;
  battery.capacity_ah = capacity_ah;
  battery.rest_v = habits.rest_v;
  battery.resistance_ohm = habits.ohm_ah / capacity_ah;
  battery.charge_resistance_ohm = std::max(battery.resistance_ohm, habits.charge_ohm_ah / capacity_ah);
  battery.peukert_exponent = habits.peukert_exponent;
  battery.rated_hours = habits.rated_hours;
  battery.depth_of_discharge = habits.depth_of_discharge;
  battery.charge_a = habits.charge_per_h * capacity_ah;
  battery.charge_v = habits.charge_v;
  return battery;
}

double peukert_hours(double capacity_ah, double rated_hours, double exponent, double current_a) {
  return rated_hours * std::pow(capacity_ah / (current_a * rated_hours), exponent);
}

double playing_hours(const Battery& battery, double current_a) {
  return battery.depth_of_discharge *
         peukert_hours(battery.capacity_ah, battery.rated_hours, battery.peukert_exponent, current_a);
}

}  // namespace cabinfield
