#include "plan/check.h"

namespace cabinfield {

const char* name_of(Outcome outcome) {
  switch (outcome) {
    case Outcome::met:
      return "met";
    case Outcome::caution:
      return "caution";
    case Outcome::violated:
      break;
  }
  return "violated";
}

const char* name_of(Rule rule) {
  switch (rule) {
    case Rule::hole:
      return "hole";
    case Rule::mounting_depth:
      return "mounting depth";
    case Rule::lowest_highpass:
      return "lowest high-pass";
    case Rule::coil_power:
      return "coil power";
    case Rule::excursion:
      return "excursion";
    case Rule::flange:
      return "flange";
    case Rule::magnet:
      return "magnet";
    case Rule::magnet_clearance:
      return "magnet clearance";
    case Rule::spacer:
      return "spacer";
    case Rule::grille:
      return "grille";
    case Rule::box_volume:
      return "box volume";
    case Rule::port:
      return "port";
    case Rule::box_depth:
      return "box depth";
    case Rule::unfed_driver:
      return "unfed driver";
    case Rule::inputs:
      return "inputs";
    case Rule::input_band:
      return "input band";
    case Rule::undone:
      return "undone";
    case Rule::still_sounds:
      return "still sounds";
    case Rule::longest_delay:
      return "longest delay";
    case Rule::equaliser_bands:
      return "equaliser bands";
    case Rule::processor_output:
      return "processor output";
    case Rule::amplifier_output:
      return "amplifier output";
    case Rule::outputs:
      return "outputs";
    case Rule::load:
      return "load";
    case Rule::cable:
      return "cable";
    case Rule::voltage_drop:
      return "voltage drop";
    case Rule::cable_heat:
      return "cable heat";
    case Rule::fuse:
      return "fuse";
    case Rule::protection:
      return "protection";
    case Rule::alternator:
      return "alternator";
    case Rule::charging:
      return "charging";
    case Rule::charge_current:
      return "charge current";
    case Rule::charge_voltage:
      return "charge voltage";
    case Rule::steady_state:
      return "steady state";
    case Rule::supply_voltage:
      return "supply voltage";
    case Rule::parked_drain:
      return "parked drain";
    case Rule::parallel_batteries:
      return "parallel batteries";
    case Rule::battery_vent:
      return "battery vent";
    case Rule::battery_mounting:
      return "battery mounting";
    case Rule::charger_leads:
      return "charger leads";
    case Rule::room:
      return "room";
    case Rule::keep_free:
      return "keep free";
    case Rule::overlap:
      return "overlap";
    case Rule::air:
      return "air";
    case Rule::airbag:
    case Rule::door_sensor:
    case Rule::drilling:
    case Rule::head_strike:
    case Rule::field_of_view:
    case Rule::crash_load:
    case Rule::cold_charging:
    case Rule::high_voltage:
    case Rule::seat_airbag:
    case Rule::local_regulations:
    case Rule::outputs_left_open:
    case Rule::hearing:
      break;
  }
  return "caution";
}

bool is_caution(Rule rule) { return rule >= Rule::airbag; }

bool is_of_driver(Rule rule) {
  return rule == Rule::hole || rule == Rule::mounting_depth || rule == Rule::lowest_highpass;
}

const char* symbol_of(MarginUnit unit) {
  switch (unit) {
    case MarginUnit::metre:
      return "m";
    case MarginUnit::litre:
      return "L";
    case MarginUnit::ohm:
      return "ohm";
    case MarginUnit::ampere:
      return "A";
    case MarginUnit::volt:
      return "V";
    case MarginUnit::watt:
      return "W";
    case MarginUnit::kelvin:
      break;
  }
  return "K";
}

}  // namespace cabinfield
