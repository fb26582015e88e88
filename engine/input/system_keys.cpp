// Keys of the system plan: amplifiers, processor, supply, load space, vehicle, and their models.
#include "input/scene_keys.h"

namespace cabinfield {
namespace {

ValueKind<std::string> model_word(const std::string& word) { return choice<std::string>({{word, word}}); }

ValueKind<std::vector<double>> size() { return list_of(own_length({0.001, 3}), 3, 3); }

/// What a factory unit does to a signal, and a processor may undo.
ValueKind<std::vector<std::string>> shaped() {
  return list_of(
      choice<std::string>({{"equaliser", "equaliser"}, {"delay", "delay"}, {"band_split", "band_split"}}), 0,
      3);
}

ValueKind<bool> word_pair(const char* yes, const char* no) {
  return choice<bool>({{yes, true}, {no, false}});
}

/// Hours and ampere hours as people count them.
ValueKind<double> ampere_hours(Range range) {
  constexpr double coulombs = 3600;
  return converted<double>(
      quantity(Quantity::charge, {range.least * coulombs, range.greatest * coulombs}),
      [](double charge_c) { return charge_c / coulombs; }, [](const double& ah) { return ah * coulombs; });
}
ValueKind<double> hours(Range range) {
  constexpr double seconds = 3600;
  return converted<double>(
      quantity(Quantity::time, {range.least * seconds, range.greatest * seconds}),
      [](double time_s) { return time_s / seconds; }, [](const double& h) { return h * seconds; });
}

ValueKind<int> gauge() {
  std::vector<std::pair<std::string, int>> names{{"4/0", -3}, {"3/0", -2}, {"2/0", -1}, {"1/0", 0}};
  for (int number = 1; number <= 20; ++number) names.emplace_back(std::to_string(number), number);
  return choice_of<int>(names);
}

/// `size` is an extent for a part of the car, or the size of a thing that keeps it.
Keys<RoomSpec> room_keys_of(GeometryRole size) {
  using Spec = RoomSpec;
  return Keys<Spec>()
      .add("at", &Spec::floor_m, point(), "centre of its base")
      .required()
      .add("size", &Spec::size_m, extent(size), "length, width, height")
      .required();
}

}  // namespace

const Keys<AmplifierRatingSpec>& amplifier_rating_keys() {
  using Spec = AmplifierRatingSpec;
  static const auto keys =
      Keys<Spec>()
          .add("load", &Spec::load_ohm, quantity(Quantity::resistance, {0.25, 64}),
               "load of one channel, or of a bridged pair")
          .required()
          .add("power", &Spec::power_w, quantity(Quantity::power, {0.5, 20000}), "continuous sine power")
          .required()
          .add("bridged", &Spec::bridged, yes_or_no(), "two channels bridged");
  return keys;
}

const Keys<AmplifierModelSpec>& amplifier_model_keys() {
  using Spec = AmplifierModelSpec;
  static const auto keys =
      Keys<Spec>()
          .add("cabinfield_model", &Spec::model, model_word("amplifier"), "kind of model")
          .add("name", &Spec::name, text(), "")
          .add("note", &Spec::note, text(), "source of the values")
          .add("channels", &Spec::channels, integer(1, 16), "")
          .required()
          .add("ratings", &Spec::ratings, list_of(mapping(amplifier_rating_keys(), "rating"), 1, 24),
               "power ratings with all channels driven")
          .required()
          .add("supply_voltage", &Spec::supply_v, quantity(Quantity::voltage, {9, 18}), "of these ratings")
          .add("distortion", &Spec::distortion, quantity(Quantity::fraction, {0, 0.3}), "of these ratings")
          .add("regulated", &Spec::regulated, yes_or_no(), "the ratings hold at any supply voltage")
          .add("least_load", &Spec::least_load_ohm, quantity(Quantity::resistance, {0.25, 64}),
               "lowest nominal load of one channel; the lowest rated if absent")
          .add("least_bridged_load", &Spec::least_bridged_ohm, quantity(Quantity::resistance, {0.25, 64}),
               "lowest nominal load of a bridged pair; the lowest rated if absent")
          .add("class", &Spec::kind,
               choice<AmplifierClass>({{"d", AmplifierClass::d}, {"ab", AmplifierClass::ab}}),
               "class of its output stages")
          .add("efficiency", &Spec::efficiency, quantity(Quantity::fraction, {0.2, 0.98}),
               "at full power; typical of its class if absent")
          .add("efficiency_at_eighth", &Spec::efficiency_at_eighth, quantity(Quantity::fraction, {0.1, 0.98}),
               "at an eighth of full power")
          .add("idle_current", &Spec::idle_a, quantity(Quantity::current, {0, 10}),
               "supply current without signal")
          .add("input_impedance", &Spec::input_ohm, quantity(Quantity::resistance, {50, 1e6}),
               "input impedance")
          .add("size", &Spec::size_m, size(), "length, width, height")
          .add("mass", &Spec::mass_kg, quantity(Quantity::mass, {0.05, 60}), "");
  return keys;
}

const Keys<AmplifierSpec>& amplifier_keys() {
  using Spec = AmplifierSpec;
  static const auto keys =
      Keys<Spec>()
          .add("model", &Spec::model, either(name(), mapping(amplifier_model_keys(), "model")),
               "name in models/amplifiers, or the model itself")
          .required()
          .add("at", &Spec::floor_m, point(), "centre of its base")
          .add("turned", &Spec::turned, yes_or_no(), "mounted with its length across the car");
  return keys;
}

const Keys<AmplifierOutputSpec>& amplifier_output_keys() {
  using Spec = AmplifierOutputSpec;
  static const auto keys =
      Keys<Spec>()
          .add("unit", &Spec::unit, name(), "name from amplifiers:")
          .required()
          .add("channel", &Spec::channel, integer(1, 16), "its channel; any free one if absent")
          .add("bridged_with", &Spec::bridged_with, integer(1, 16), "second channel of the pair");
  return keys;
}

const Keys<ProcessorModelSpec>& processor_model_keys() {
  using Spec = ProcessorModelSpec;
  static const auto keys =
      Keys<Spec>()
          .add("cabinfield_model", &Spec::model, model_word("processor"), "kind of model")
          .add("name", &Spec::name, text(), "")
          .add("note", &Spec::note, text(), "source of the values")
          .add("inputs", &Spec::inputs, integer(1, 64), "")
          .required()
          .add("outputs", &Spec::outputs, integer(1, 64), "")
          .required()
          .add("sample_rate", &Spec::sample_rate_hz, quantity(Quantity::frequency, {8000, 400000}), "")
          .add("latency", &Spec::latency_s, quantity(Quantity::time, {0, 1}), "from input to output")
          .add("delay_step", &Spec::delay_step_s, quantity(Quantity::time, {1e-7, 0.01}), "")
          .add("longest_delay", &Spec::longest_delay_s, quantity(Quantity::time, {0, 1}), "of a channel")
          .add("bands", &Spec::bands, integer(0, 64), "equaliser bands per channel")
          .add("least_load", &Spec::least_load_ohm, quantity(Quantity::resistance, {10, 1e6}),
               "lowest load impedance of an output")
          .add("undoes", &Spec::undoes, shaped(), "what it can correct in a factory signal")
          .add("size", &Spec::size_m, size(), "length, width, height")
          .add("mass", &Spec::mass_kg, quantity(Quantity::mass, {0.01, 20}), "");
  return keys;
}

const Keys<ProcessorInputSpec>& processor_input_keys() {
  using Spec = ProcessorInputSpec;
  const auto frequency = quantity(Quantity::frequency, {1, 100000});
  static const auto keys =
      Keys<Spec>()
          .add("from", &Spec::from, text(), "source of the signal")
          .add("kind", &Spec::kind,
               choice<InputKind>({{"speaker", InputKind::speaker},
                                  {"line", InputKind::line},
                                  {"digital", InputKind::digital}}),
               "")
          .add("band", &Spec::band_hz, pair_of(frequency, frequency),
               "[lowest, highest] frequency of the signal")
          .add("shaped", &Spec::shaped, shaped(), "what the factory unit does to the signal");
  return keys;
}

const Keys<StillSoundsSpec>& still_sounds_keys() {
  using Spec = StillSoundsSpec;
  static const auto keys = Keys<Spec>()
                               .add("chimes", &Spec::chimes, yes_or_no(), "")
                               .add("parking", &Spec::parking, yes_or_no(), "parking warnings")
                               .add("pedestrian", &Spec::pedestrian, yes_or_no(), "warnings to pedestrians")
                               .add("emergency_call", &Spec::emergency_call, yes_or_no(), "")
                               .add("hands_free", &Spec::hands_free, yes_or_no(), "");
  return keys;
}

const Keys<ProcessorSpec>& processor_keys() {
  using Spec = ProcessorSpec;
  static const auto keys =
      Keys<Spec>()
          .add("model", &Spec::model, either(name(), mapping(processor_model_keys(), "model")),
               "name in models/processors, or the model itself")
          .required()
          .add("inputs", &Spec::inputs, named(mapping(processor_input_keys(), "input")),
               "signals that feed it")
          .add("still_sounds", &Spec::still_sounds, mapping(still_sounds_keys(), "still_sounds"),
               "sounds that this car has and must keep; yes if still audible after rewiring")
          .add("at", &Spec::floor_m, point(), "centre of its base");
  return keys;
}

const Keys<BatterySpec>& battery_keys() {
  using Spec = BatterySpec;
  static const auto keys =
      Keys<Spec>()
          .add("cabinfield_model", &Spec::kind, model_word("battery"), "in a model file: kind of model")
          .add("name", &Spec::name, text(), "in a model file")
          .add("note", &Spec::note, text(), "source of the values")
          .add("model", &Spec::model, name(),
               "name in models/batteries; gives the values that are absent here")
          .add("chemistry", &Spec::chemistry,
               choice<Chemistry>({{"lead", Chemistry::lead},
                                  {"agm", Chemistry::agm},
                                  {"gel", Chemistry::gel},
                                  {"lifepo4", Chemistry::lifepo4}}),
               "")
          .add("capacity", &Spec::capacity_ah, ampere_hours({1, 1000}), "capacity over rated_hours")
          .add("rest_voltage", &Spec::rest_v, quantity(Quantity::voltage, {9, 16}),
               "charged, at rest; typical of its chemistry if absent")
          .add("internal_resistance", &Spec::resistance_ohm, quantity(Quantity::resistance, {1e-4, 1}),
               "typical of its chemistry if absent")
          .add("peukert", &Spec::peukert, number({1, 1.6}), "exponent; typical of its chemistry if absent")
          .add("rated_hours", &Spec::rated_hours, hours({0.1, 100}),
               "discharge time of the rated capacity; typical of its chemistry if absent")
          .add("depth_of_discharge", &Spec::depth_of_discharge, quantity(Quantity::fraction, {0.05, 1}),
               "allowed depth of discharge; typical of its chemistry if absent")
          .add("continuous_current", &Spec::continuous_a, quantity(Quantity::current, {1, 5000}),
               "continuous limit of its protection circuit; peak_current if absent; no protection circuit if "
               "both are absent")
          .add("peak_current", &Spec::peak_a, quantity(Quantity::current, {1, 10000}),
               "limit for a few seconds; continuous_current if absent")
          .add("charge_current", &Spec::charge_a, quantity(Quantity::current, {0.1, 1000}),
               "greatest charge current; typical of its chemistry if absent")
          .add("charge_voltage", &Spec::charge_v, quantity(Quantity::voltage, {12, 16}),
               "greatest charge voltage; typical of its chemistry if absent")
          .add("vented", &Spec::vented, yes_or_no(), "gas is vented to the outside")
          .add("fixed", &Spec::fixed, yes_or_no(), "fastened so that a crash cannot move it")
          .add("charges_when_cold", &Spec::charges_when_cold, yes_or_no(),
               "heated, or protected from charging below 0 degC")
          .add("size", &Spec::size_m, size(), "length, width, height")
          .add("mass", &Spec::mass_kg, quantity(Quantity::mass, {0.1, 200}), "")
          .add("at", &Spec::floor_m, point(), "centre of its base");
  return keys;
}

const Keys<AlternatorSpec>& alternator_keys() {
  using Spec = AlternatorSpec;
  static const auto keys =
      Keys<Spec>()
          .add("rated", &Spec::rated_a, quantity(Quantity::current, {5, 1000}), "that it gives at most")
          .required()
          .add("voltage", &Spec::voltage_v, quantity(Quantity::voltage, {12.3, 15}),
               "regulated; 14.2 V if absent")
          .add("smart", &Spec::smart, yes_or_no(), "off for seconds at a time")
          .add("car_load", &Spec::car_a, quantity(Quantity::current, {0, 500}),
               "current of the car itself while it drives: engine, lights, fans; 40 A if absent");
  return keys;
}

const Keys<ChargerSpec>& charger_keys() {
  using Spec = ChargerSpec;
  static const auto keys =
      Keys<Spec>()
          .add("from", &Spec::from, name(), "battery or junction that it draws from")
          .required()
          .add("to", &Spec::to, name(), "battery or junction that it feeds")
          .required()
          .add("current", &Spec::current_a, quantity(Quantity::current, {1, 500}), "put out at most")
          .required()
          .add("voltage", &Spec::voltage_v, quantity(Quantity::voltage, {12, 15.5}), "put out")
          .add("efficiency", &Spec::efficiency, quantity(Quantity::fraction, {0.5, 0.99}), "");
  return keys;
}

const Keys<CableSpec>& cable_keys() {
  using Spec = CableSpec;
  static const auto keys =
      Keys<Spec>()
          .add("from", &Spec::from, name(), "alternator, a battery, a junction, an amplifier or processor")
          .required()
          .add("to", &Spec::to, name(), "the other end")
          .required()
          .add("area", &Spec::area_m2, quantity(Quantity::area, {0.5e-6, 240e-6}),
               "of its copper; or give gauge")
          .add("gauge", &Spec::gauge, gauge(), "AWG")
          .add("length", &Spec::length_m, own_length({0.01, 30}), "one way")
          .required()
          .add("return", &Spec::returns_in_cable, word_pair("cable", "body"),
               "the way back: as long a cable, or the car's body")
          .add("connections", &Spec::connections, integer(0, 40), "crimped or bolted, both ways")
          .add("fuse_start", &Spec::fuse_start_a, quantity(Quantity::current, {0.5, 1000}),
               "within 450 mm of its start")
          .add("fuse_end", &Spec::fuse_end_a, quantity(Quantity::current, {0.5, 1000}),
               "within 450 mm of its end");
  return keys;
}

const Keys<SupplySpec>& supply_keys() {
  using Spec = SupplySpec;
  static const auto keys =
      Keys<Spec>()
          .add("alternator", &Spec::alternator, mapping(alternator_keys(), "alternator"), "")
          .add("batteries", &Spec::batteries, named(mapping(battery_keys(), "battery")),
               "the first is the one that starts the engine")
          .add("chargers", &Spec::chargers, named(mapping(charger_keys(), "charger")), "DC to DC")
          .add("cables", &Spec::cables, list_of(mapping(cable_keys(), "cable"), 0, 64), "")
          .add("junctions", &Spec::junctions, list_of(located(name()), 0, 16), "where cables meet")
          .add("parked_drain", &Spec::parked_drain_a, quantity(Quantity::current, {0, 10}),
               "of all that stays on")
          .add("ambient", &Spec::ambient_k, quantity(Quantity::temperature, {253.15, 363.15}),
               "air about the cables; 40 degC if absent");
  return keys;
}

const Keys<RoomSpec>& room_keys() {
  static const auto keys = room_keys_of(GeometryRole::extent);
  return keys;
}

const Keys<RoomSpec>& keep_free_keys() {
  static const auto keys = room_keys_of(GeometryRole::size);
  return keys;
}

const Keys<ThingSpec>& thing_keys() {
  using Spec = ThingSpec;
  static const auto keys =
      Keys<Spec>()
          .add("at", &Spec::floor_m, point(), "centre of its base")
          .required()
          .add("size", &Spec::size_m, extent(GeometryRole::size), "length, width, height")
          .required()
          .add("mass", &Spec::mass_kg, quantity(Quantity::mass, {0.01, 500}), "")
          .add("air", &Spec::air_m, own_length({0, 0.5}), "clearance to leave around it");
  return keys;
}

const Keys<AxlesSpec>& axles_keys() {
  using Spec = AxlesSpec;
  static const auto keys =
      Keys<Spec>()
          .add("front", &Spec::front_x_m, coordinate(GeometryRole::x), "x of the front axle")
          .required()
          .add("rear", &Spec::rear_x_m, coordinate(GeometryRole::x), "x of the rear axle")
          .required();
  return keys;
}

const Keys<LoadSpaceSpec>& load_space_keys() {
  using Spec = LoadSpaceSpec;
  static const auto keys =
      Keys<Spec>()
          .add("rooms", &Spec::rooms, named(mapping(room_keys(), "room")),
               "each box and unit must be wholly inside one of them")
          .add("keep_free", &Spec::keep_free, named(mapping(keep_free_keys(), "room")),
               "what must remain usable")
          .add("things", &Spec::things, named(mapping(thing_keys(), "thing")),
               "other objects that occupy space")
          .add("axles", &Spec::axles, mapping(axles_keys(), "axles"), "for the axle loads");
  return keys;
}

const Keys<VehicleSpec>& vehicle_keys() {
  using Spec = VehicleSpec;
  static const auto keys =
      Keys<Spec>()
          .add("high_voltage", &Spec::high_voltage, yes_or_no(), "the car has a traction battery")
          .add("drilling", &Spec::drilling, yes_or_no(), "holes will be drilled or cut; yes if absent")
          .add("seats_touched", &Spec::seats_touched, yes_or_no(), "a seat is removed or altered");
  return keys;
}

}  // namespace cabinfield
