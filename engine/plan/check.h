// One rule of the plan as judged: a code, a subject, an outcome and a margin. Text is for reading only.
#pragma once

#include <optional>
#include <string>

namespace cabinfield {

enum class Outcome { met, caution, violated };
/// "met", "caution" or "violated".
const char* name_of(Outcome outcome);

enum class Rule {
  // Drivers and their openings.
  hole,
  mounting_depth,
  lowest_highpass,
  coil_power,
  excursion,
  flange,
  magnet,
  magnet_clearance,
  spacer,
  grille,
  box_volume,
  port,
  box_depth,
  unfed_driver,
  // Signal and amplifiers.
  inputs,
  input_band,
  undone,
  still_sounds,
  longest_delay,
  equaliser_bands,
  processor_output,
  amplifier_output,
  outputs,
  load,
  // Supply.
  cable,
  voltage_drop,
  cable_heat,
  fuse,
  protection,
  alternator,
  charging,
  charge_current,
  charge_voltage,
  steady_state,
  supply_voltage,
  parked_drain,
  parallel_batteries,
  battery_vent,
  battery_mounting,
  charger_leads,
  // Load space.
  room,
  keep_free,
  overlap,
  air,
  // Cautions: never violated, all printed as "caution".
  airbag,
  door_sensor,
  drilling,
  head_strike,
  field_of_view,
  crash_load,
  cold_charging,
  high_voltage,
  seat_airbag,
  local_regulations,
  outputs_left_open,
  hearing
};
/// As printed and stored: "mounting depth". The one place where a rule has a name.
const char* name_of(Rule rule);
/// True of the last group: work that can hurt someone, whatever the plan.
bool is_caution(Rule rule);
/// Rules of a driver in its opening and of its high-pass: listed with the drivers.
bool is_of_driver(Rule rule);

enum class MarginUnit { metre, litre, ohm, ampere, volt, watt, kelvin };
/// Its symbol: "m", "L", "ohm", "A", "V", "W", "K".
const char* symbol_of(MarginUnit unit);

/// What is left before a rule is violated; negative beyond.
struct Margin {
  double value = 0;
  MarginUnit unit = MarginUnit::metre;
  bool operator==(const Margin&) const = default;
};

/// Outcome of one rule of the plan.
struct Check {
  Rule rule = Rule::hole;
  std::string subject;  ///< e.g. "mid_left"
  Outcome outcome = Outcome::met;
  std::optional<Margin> margin;  ///< empty where the rule has none
  std::string words;             ///< a sentence for the installer
};

}  // namespace cabinfield
