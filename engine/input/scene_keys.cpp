#include "input/scene_keys.h"

#include <numbers>

#include "input/shape_file.h"

namespace cabinfield {
namespace {

// --- Drivers
// -------------------------------------------------------------------------------------------------
const Keys<AimSpec>& aim_keys() {
  static const auto keys =
      Keys<AimSpec>()
          .add("seat", &AimSpec::seat, name(), "at the head of this seat")
          .add("point", &AimSpec::point, point(GeometryRole::remote_point), "at this point")
          .add("direction", &AimSpec::direction, direction(), "along this direction");
  return keys;
}

const Keys<GrilleSpec>& grille_keys() {
  static const auto keys =
      Keys<GrilleSpec>()
          .add("open_area", &GrilleSpec::open_area, quantity(Quantity::fraction, {0.05, 1}),
               "fraction of the grille area that is open")
          .required()
          .add("gap", &GrilleSpec::gap_m, own_length({0, 0.3}), "distance from the rim of the cone");
  return keys;
}

const Keys<VentedSpec>& vented_keys() {
  using Spec = VentedSpec;
  static const auto keys =
      Keys<Spec>()
          .add("volume", &Spec::volume_m3, quantity(Quantity::volume, {1e-4, 2}), "net")
          .required()
          .add("tuning", &Spec::tuning_hz, quantity(Quantity::frequency, {5, 500}),
               "resonance of box and port; or give port_length")
          .add("port_length", &Spec::port_length_m, own_length({0.001, 3}), "length of each port")
          .add("port_diameter", &Spec::port_diameter_m, own_length({0.01, 0.5}),
               "inner diameter of each port")
          .add("ports", &Spec::ports, integer(1, 8), "number of ports")
          .add("ql", &Spec::ql, number({1, 200}), "leakage Q");
  return keys;
}

const Keys<DoorSpec>& door_keys() {
  static const auto keys = Keys<DoorSpec>()
                               .add("volume", &DoorSpec::volume_m3, quantity(Quantity::volume, {1e-3, 0.5}),
                                    "volume of air behind the driver")
                               .required()
                               .add("leak", &DoorSpec::leak_area_m2, quantity(Quantity::area, {0, 0.1}),
                                    "area of the holes that stay open to the cabin")
                               .required();
  return keys;
}

const Keys<LoadingMappingSpec>& loading_keys() {
  using Spec = LoadingMappingSpec;
  static const auto keys =
      Keys<Spec>()
          .add("sealed", &Spec::sealed_m3, quantity(Quantity::volume, {1e-5, 2}),
               "net volume of a sealed box")
          .add("qa", &Spec::qa, number({1, 500}), "absorption Q of the sealed box")
          .add("vented", &Spec::vented, mapping(vented_keys(), "vented"), "a box with ports")
          .add("door", &Spec::door, mapping(door_keys(), "door"), "a leaky cavity, such as a door")
          .add("box", &Spec::box, name(), "name of a shared box, from boxes:")
          .add("rear_into", &Spec::rear_into, point(GeometryRole::remote_point),
               "no box: the back radiates into the cabin at this point");
  return keys;
}

ValueKind<LoadingChoice> loading_choice() {
  return either(choice<LoadingWord>(
                    {{"infinite_baffle", LoadingWord::infinite_baffle}, {"built_in", LoadingWord::built_in}}),
                mapping(loading_keys(), "loading"));
}

const Keys<OpeningSpec>& opening_keys() {
  static const auto keys =
      Keys<OpeningSpec>()
          .add("cutout", &OpeningSpec::cutout_m, own_length({0.005, 1}), "largest hole that can be cut")
          .add("depth", &OpeningSpec::depth_m, own_length({0.001, 2}),
               "from the surface to the nearest obstacle behind it, with the glass fully down")
          .add("flange", &OpeningSpec::flange_m, own_length({0.005, 1}), "largest flange that fits")
          .add("magnet", &OpeningSpec::magnet_m, own_length({0.002, 1}), "largest magnet diameter that fits")
          .add("spacer", &OpeningSpec::spacer_m, own_length({0, 0.1}),
               "thickness of a ring under the driver, usually 12 to 19 mm")
          .add("behind", &OpeningSpec::behind,
               choice<Behind>({{"glass", Behind::glass}, {"fixed", Behind::fixed}}),
               "what that obstacle is; lowered glass moves")
          .add("airbag_checked", &OpeningSpec::airbag_checked, yes_or_no(),
               "looked up: no airbag, belt pretensioner or crash sensor behind or in its way");
  return keys;
}

const Keys<OutsideSpec>& outside_keys() {
  static const auto keys =
      Keys<OutsideSpec>()
          .add("at", &OutsideSpec::at, point(), "centre of its base")
          .required()
          .add("size", &OutsideSpec::size_m, extent(GeometryRole::size), "length, width, height")
          .required();
  return keys;
}

const Keys<SharedBoxSpec>& shared_box_keys() {
  using Spec = SharedBoxSpec;
  static const auto keys =
      Keys<Spec>()
          .add("sealed", &Spec::sealed_m3, quantity(Quantity::volume, {1e-5, 2}),
               "net volume of a sealed box")
          .add("qa", &Spec::qa, number({1, 500}), "absorption Q of the sealed box")
          .add("vented", &Spec::vented, mapping(vented_keys(), "vented"), "a box with ports")
          .add("outside", &Spec::outside, mapping(outside_keys(), "outside"),
               "the space that it occupies in the cabin")
          .add("board", &Spec::board_m, own_length({0.002, 0.1}), "thickness of its walls")
          .add("bracing", &Spec::bracing_m3, quantity(Quantity::volume, {0, 0.5}),
               "volume of the braces inside")
          .add("mass", &Spec::mass_kg, quantity(Quantity::mass, {0.1, 300}),
               "including its drivers; computed from its boards if absent")
          .add("fixed", &Spec::fixed, yes_or_no(), "fastened so that a crash cannot move it");
  return keys;
}

// --- Channels
// --------------------------------------------------------------------------------------------------
const Keys<CrossoverSpec>& crossover_keys() {
  using Spec = CrossoverSpec;
  static const auto keys =
      Keys<Spec>()
          .add("family", &Spec::family,
               choice<CrossoverFamily>({{"linkwitz-riley", CrossoverFamily::linkwitz_riley},
                                        {"butterworth", CrossoverFamily::butterworth},
                                        {"bessel", CrossoverFamily::bessel}}),
               "")
          .add("order", &Spec::order, integer(1, greatest_crossover_order), "6 dB per octave for each order")
          .add("frequency", &Spec::frequency_hz, quantity(Quantity::frequency, {5, 20000}),
               "corner frequency")
          .required();
  return keys;
}

ValueKind<CrossoverSpec> crossover() { return mapping(crossover_keys(), "crossover"); }

const Keys<EqualiserBandSpec>& equaliser_band_keys() {
  using Spec = EqualiserBandSpec;
  static const auto keys =
      Keys<Spec>()
          .add("shape", &Spec::shape,
               choice<EqualiserShape>({{"peak", EqualiserShape::peak},
                                       {"low-shelf", EqualiserShape::low_shelf},
                                       {"high-shelf", EqualiserShape::high_shelf},
                                       {"all-pass", EqualiserShape::all_pass}}),
               "")
          .required()
          .add("frequency", &Spec::frequency_hz, quantity(Quantity::frequency, {5, 20000}), "")
          .required()
          .add("gain", &Spec::gain_db, quantity(Quantity::level, {-40, 20}), "")
          .add("q", &Spec::q, number({0.1, 50}), "");
  return keys;
}

ValueKind<EqualiserBandSpec> equaliser_band() { return mapping(equaliser_band_keys(), "equaliser band"); }

const Keys<WiringSpec>& wiring_keys() {
  static const auto keys =
      Keys<WiringSpec>()
          .add("drivers", &WiringSpec::drivers,
               choice<DriverWiring>({{"parallel", DriverWiring::parallel}, {"series", DriverWiring::series}}),
               "")
          .add("coils", &WiringSpec::coils,
               choice<CoilConnection>({{"parallel", CoilConnection::parallel},
                                       {"series", CoilConnection::series},
                                       {"single", CoilConnection::single}}),
               "how the coils of each driver are connected; as measured for its model if absent");
  return keys;
}

ValueKind<WiringSpec> wiring() { return mapping(wiring_keys(), "wiring"); }

const Keys<SignalMixSpec>& signal_mix_keys() {
  static const auto keys =
      Keys<SignalMixSpec>()
          .add("left", &SignalMixSpec::left, number({-4, 4}), "factor of the left signal")
          .add("right", &SignalMixSpec::right, number({-4, 4}), "factor of the right signal");
  return keys;
}

ValueKind<std::variant<SignalWord, SignalMixSpec>> signal() {
  return either(choice<SignalWord>({{"left", SignalWord::left},
                                    {"right", SignalWord::right},
                                    {"mono", SignalWord::mono},
                                    {"side", SignalWord::side}}),
                mapping(signal_mix_keys(), "signal"));
}

/// Keys that channels, groups and presets share. Limits are those of processors in the trade (common
/// practice, no source).
template <typename Spec>
Keys<Spec> settings_keys() {
  return Keys<Spec>()
      .add("wiring", &Spec::wiring, wiring(), "how drivers and coils are connected to the channel")
      .add("signal", &Spec::signal, signal(), "which part of the signal it plays; mono if absent")
      .add("highpass", &Spec::highpass, crossover(), "")
      .add("lowpass", &Spec::lowpass, crossover(), "")
      .add("equaliser", &Spec::equaliser, list_of(equaliser_band(), 0, 64), "")
      .add("gain", &Spec::gain_db, quantity(Quantity::level, {-80, 20}), "")
      .add("delay", &Spec::delay_s, quantity(Quantity::time, {0, 0.1}), "")
      .add("polarity", &Spec::inverted, choice<bool>({{"normal", false}, {"inverted", true}}), "")
      .add("mute", &Spec::mute, yes_or_no(), "");
}

const Keys<GroupSpec>& group_keys() {
  static const auto keys =
      settings_keys<GroupSpec>()
          .add("members", &GroupSpec::members, list_of(located(name()), 1, 64), "channels of the group")
          .required();
  return keys;
}

const Keys<ChannelSpec>& preset_channel_keys() {
  static const auto keys = settings_keys<ChannelSpec>();
  return keys;
}

const Keys<PresetSpec>& preset_keys() {
  static const auto keys =
      Keys<PresetSpec>()
          .add("listen", &PresetSpec::listen, named(number({0, 100})),
               "seats that it is tuned for, each with a weight")
          .add("state", &PresetSpec::state, name(), "state of the cabin; as_is if absent")
          .add("channels", &PresetSpec::channels, named(mapping(preset_channel_keys(), "channel")),
               "settings of channels or groups that override those of the scene");
  return keys;
}

// --- Computation
// -----------------------------------------------------------------------------------------------
const Keys<FrequenciesSpec>& frequencies_keys() {
  const auto frequency = quantity(Quantity::frequency, {1, 24000});
  static const auto keys =
      Keys<FrequenciesSpec>()
          .add("from", &FrequenciesSpec::from_hz, frequency, "lowest")
          .add("to", &FrequenciesSpec::to_hz, frequency, "highest")
          .add("per_octave", &FrequenciesSpec::per_octave, integer(1, 384), "frequencies per octave")
          .add("list", &FrequenciesSpec::list_hz, list_of(frequency, 1, 20000),
               "these frequencies instead, increasing");
  return keys;
}

/// A voltage; the word that stands for what the amplifier gives is known, and waits.
ValueKind<double> terminal_voltage() {
  const ValueKind<double> plain = quantity(Quantity::voltage, {0.001, 200});
  return plain.read_by([plain](const Node& node, Reading& reading) -> std::optional<double> {
    if (node.kind() != NodeKind::scalar || node.text() != "amplifier") return plain.read(node, reading);
    reading.fault(node.location(), "amplifier is not supported yet: give the voltage, such as 2.83 V");
    return std::nullopt;
  });
}

const Keys<ComputeSpec>& compute_keys() {
  static const auto keys =
      Keys<ComputeSpec>()
          .add("frequencies", &ComputeSpec::frequencies, mapping(frequencies_keys(), "frequencies"), "")
          .add("field", &ComputeSpec::field,
               choice<FieldKind>(
                   {{"images", FieldKind::images}, {"wave", FieldKind::wave}, {"joined", FieldKind::joined}}),
               "method for the sound field; joined if absent")
          .add("wave_top", &ComputeSpec::wave_top_hz, quantity(Quantity::frequency, {50, 2000}),
               "upper limit of the wave field")
          .add("image_order", &ComputeSpec::image_order, integer(0, 150),
               "maximum number of successive reflections")
          .add("terminal_voltage", &ComputeSpec::terminal_voltage_v, terminal_voltage(),
               "RMS at the driver terminals for a full-scale sine before channel gain")
          .add("crest_factor", &ComputeSpec::crest_db, quantity(Quantity::level, {3, 24}),
               "of the music, peak over RMS; 12 dB if absent");
  return keys;
}

const Keys<AirSpec>& air_keys() {
  using Spec = AirSpec;
  static const auto keys =
      Keys<Spec>()
          .add("temperature", &Spec::temperature_k, quantity(Quantity::temperature, {253.15, 323.15}),
               "20 degC if absent")
          .add("humidity", &Spec::humidity, quantity(Quantity::fraction, {0, 1}), "50 % if absent")
          .add("pressure", &Spec::pressure_pa, quantity(Quantity::pressure, {60000, 110000}),
               "101.325 kPa if absent")
          .add("sound_speed", &Spec::sound_speed_m_s, quantity(Quantity::sound_speed, {250, 400}),
               "given directly, together with density")
          .add("density", &Spec::density_kg_m3, quantity(Quantity::density, {0.5, 2}),
               "given directly, together with sound_speed");
  return keys;
}

const Keys<BriefSpec>& brief_keys() {
  static const auto keys =
      Keys<BriefSpec>()
          .add("listen", &BriefSpec::listen, list_of(located(name()), 0, 64), "seats that matter")
          .add("level", &BriefSpec::level_db, quantity(Quantity::sound_level, {40, 160}), "target level")
          .add("keep", &BriefSpec::keep, list_of(text(), 0, 64), "what must remain usable");
  return keys;
}

struct UnitsSpec : Given {
  double length_unit_m = 1;
};
const Keys<UnitsSpec>& units_keys() {
  static const auto keys = Keys<UnitsSpec>().add(
      "length", &UnitsSpec::length_unit_m,
      choice<double>({{"m", 1}, {"cm", 0.01}, {"mm", 0.001}, {"in", 0.0254}}), "unit of bare positions");
  return keys;
}

const ValueKind<double>& units() {
  static const auto kind = converted<double>(
      mapping(units_keys(), "units"), [](UnitsSpec spec) { return spec.length_unit_m; },
      [](const double&) { return UnitsSpec{}; });
  return kind;
}

const Keys<TapeSpec>& tape_keys() {
  const auto end = either(dotted_name(2), point());
  static const auto keys =
      Keys<TapeSpec>()
          .add("from", &TapeSpec::from, end, "seats.NAME, drivers.NAME, marks.NAME or a point")
          .required()
          .add("to", &TapeSpec::to, end, "the other end")
          .required()
          .add("length", &TapeSpec::length_m, own_length({0.01, 30}), "as measured")
          .required();
  return keys;
}

}  // namespace

const Keys<SeatSpec>& seat_keys() {
  static const auto keys =
      Keys<SeatSpec>()
          .add("head", &SeatSpec::head, point(), "midpoint between the ears")
          .add("head_shape", &SeatSpec::head_shape,
               choice<HeadShape>({{"none", HeadShape::none}, {"sphere", HeadShape::sphere}}),
               "none: ears are points (if absent); sphere: ears on a rigid sphere")
          .add("reference", &SeatSpec::reference, point(),
               "where cushion and backrest meet, in the middle of the seat")
          .add("mirror_of", &SeatSpec::mirror_of, name(), "seat on the other side");
  return keys;
}

const Keys<DriverSpec>& driver_keys() {
  using Spec = DriverSpec;
  static const auto keys =
      Keys<Spec>()
          .add("model", &Spec::model, either(name(), mapping(driver_model_keys(), "model")),
               "name in models/drivers, or the model itself")
          .add("position", &Spec::position, point(GeometryRole::mounting_point),
               "centre of the rim of the cone")
          .add("surface", &Spec::surface, sided(surface_name()), "the surface that it is flush-mounted in")
          .add("setback", &Spec::setback_m, own_length({0, 0.3}), "behind that surface")
          .add("grille", &Spec::grille, mapping(grille_keys(), "grille"), "the grille in front of it")
          .add("aim", &Spec::aim, mapping(aim_keys(), "aim"),
               "where it points; normal to the surface if absent")
          .add("pod_radius", &Spec::pod_radius_m, own_length({0.005, 0.5}),
               "of the housing of a driver without a surface")
          .add("loading", &Spec::loading, loading_choice(),
               "what is behind the cone; infinite_baffle if absent")
          .add("opening", &Spec::opening, mapping(opening_keys(), "opening"),
               "the room for the driver at its position")
          .add("mirror_of", &Spec::mirror_of, name(), "the driver on the other side");
  return keys;
}

const Keys<ChannelSpec>& channel_keys() {
  static const auto keys =
      settings_keys<ChannelSpec>()
          .add("like", &ChannelSpec::like, name(),
               "the channel whose settings apply where this one gives none")
          .add("drives", &ChannelSpec::drives, list_of(located(name()), 1, 32), "drivers that it feeds")
          .add("amplifier", &ChannelSpec::amplifier, mapping(amplifier_output_keys(), "amplifier"),
               "the amplifier output that feeds it; not specified if absent")
          .add("processor_output", &ChannelSpec::processor_output, integer(1, 64), "not specified if absent");
  return keys;
}

const Keys<SceneSpec>& scene_keys() {
  using Spec = SceneSpec;
  static const auto keys =
      Keys<Spec>()
          .add("cabinfield", &Spec::version, integer(1, 1), "version of the scene format")
          .required()
          .add("title", &Spec::title, text(), "")
          .add("units", &Spec::length_unit_m, units(), "units of bare positions; m if absent")
          .add("wheel_side", &Spec::wheel_side,
               choice<WheelSide>({{"left", WheelSide::left}, {"right", WheelSide::right}}),
               "side of the steering wheel")
          .add("air", &Spec::air, mapping(air_keys(), "air"), "")
          .add("brief", &Spec::brief, mapping(brief_keys(), "brief"), "what the customer wants")
          .add("materials", &Spec::materials, named(mapping(material_keys(), "material")),
               "defined in this scene")
          .add("fillings", &Spec::fillings, named(mapping(filling_keys(), "filling")),
               "defined in this scene")
          .add("models", &Spec::models, named(any_model()), "defined in this scene")
          .add("cabin", &Spec::cabin, mapping(cabin_keys(), "cabin"), "")
          .add("states", &Spec::states, named(mapping(state_keys(), "state")),
               "other conditions of the same car")
          .add("seats", &Spec::seats, named(mapping(seat_keys(), "seat")), "")
          .add("ear_spacing", &Spec::ear_spacing_m, own_length({0.1, 0.3}), "between the ears")
          .add("marks", &Spec::marks, named(point()), "points that can be found on the car")
          .add("tape", &Spec::tape, list_of(mapping(tape_keys(), "tape"), 0, 1000),
               "measured lengths to check the drawing")
          .add("drivers", &Spec::drivers, named(mapping(driver_keys(), "driver")), "")
          .add("boxes", &Spec::boxes, named(mapping(shared_box_keys(), "box")),
               "shared by the drivers that refer to them")
          .add("channels", &Spec::channels, named(mapping(channel_keys(), "channel")), "")
          .add("groups", &Spec::groups, named(mapping(group_keys(), "group")),
               "channels with common settings")
          .add("presets", &Spec::presets, named(mapping(preset_keys(), "preset")), "")
          .add("amplifiers", &Spec::amplifiers, named(mapping(amplifier_keys(), "amplifier")), "")
          .add("processor", &Spec::processor, mapping(processor_keys(), "processor"), "")
          .add("supply", &Spec::supply, mapping(supply_keys(), "supply"), "batteries, cables, fuses")
          .add("load_space", &Spec::load_space, mapping(load_space_keys(), "load_space"),
               "space for boxes and units")
          .add("vehicle", &Spec::vehicle, mapping(vehicle_keys(), "vehicle"),
               "facts that the cautions depend on")
          .add("compute", &Spec::compute, mapping(compute_keys(), "compute"), "");
  return keys;
}

std::string scene_key_reference() {
  const struct {
    const char* head;
    const KeyTable& keys;
  } sections[] = {
      {"scene", scene_keys()},
      {"air", air_keys()},
      {"brief", brief_keys()},
      {"cabin", cabin_keys()},
      {"cabin: box", box_keys()},
      {"cabin: materials, of a box", box_materials_keys()},
      {"cabin: a corner of profile", outline_corner_keys()},
      {"cabin: a corner of sides", side_keys()},
      {"cabin: a patch", patch_keys()},
      {"cabin: a block", block_keys()},
      {"cabin: a corner of a block", block_corner_keys()},
      {"cabin: a partition", partition_keys()},
      {"cabin: a partition: passes", passes_keys()},
      {"cabin: a partition: an opening", partition_opening_keys()},
      {"cabin: a leak", leak_keys()},
      {"a state", state_keys()},
      {"a seat", seat_keys()},
      {"a tape", tape_keys()},
      {"a driver", driver_keys()},
      {"a driver: aim", aim_keys()},
      {"a driver: grille", grille_keys()},
      {"a driver: loading", loading_keys()},
      {"a driver: loading: vented", vented_keys()},
      {"a driver: loading: door", door_keys()},
      {"a driver: opening", opening_keys()},
      {"a box", shared_box_keys()},
      {"a box: outside", outside_keys()},
      {"a channel", channel_keys()},
      {"a channel: wiring", wiring_keys()},
      {"a channel: signal", signal_mix_keys()},
      {"a channel: highpass, lowpass", crossover_keys()},
      {"a channel: an equaliser band", equaliser_band_keys()},
      {"a channel: amplifier", amplifier_output_keys()},
      {"a group", group_keys()},
      {"a preset", preset_keys()},
      {"an amplifier", amplifier_keys()},
      {"processor", processor_keys()},
      {"processor: an input", processor_input_keys()},
      {"processor: still_sounds", still_sounds_keys()},
      {"supply", supply_keys()},
      {"supply: alternator", alternator_keys()},
      {"supply: a charger", charger_keys()},
      {"supply: a cable", cable_keys()},
      {"load_space", load_space_keys()},
      {"load_space: a room, keep_free", room_keys()},
      {"load_space: a thing", thing_keys()},
      {"load_space: axles", axles_keys()},
      {"vehicle", vehicle_keys()},
      {"compute", compute_keys()},
      {"compute: frequencies", frequencies_keys()},
      {"units", units_keys()},
      {"a material", material_keys()},
      {"a material: panel", panel_keys()},
      {"a driver model", driver_model_keys()},
      {"a driver model: thiele_small", thiele_small_keys()},
      {"a driver model: rating", rating_keys()},
      {"a driver model: mounting", mounting_keys()},
      {"a filling", filling_keys()},
      {"an amplifier model", amplifier_model_keys()},
      {"an amplifier model: a rating", amplifier_rating_keys()},
      {"a processor model", processor_model_keys()},
      {"a battery, and its model", battery_keys()},
  };
  std::string text;
  for (const auto& [head, keys] : sections)
    text += std::string(text.empty() ? "" : "\n") + head + "\n" + key_reference(keys.lines());
  for (const auto& [head, lines] : shape_key_sections()) text += "\n" + head + "\n" + key_reference(lines);
  return text;
}

}  // namespace cabinfield
