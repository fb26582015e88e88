// The plan around the sound: amplifiers, processor, feeds of the channels, supply, load space, boxes.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "base/constants.h"
#include "base/quoted.h"
#include "scene/build_steps.h"
#include "system/channel_assignment.h"
#include "system/fuse.h"
#include "system/joined_nodes.h"

namespace cabinfield::build {
namespace {

/// Board of a box where the scene gives none (common practice, no source).
constexpr double usual_board_m = 0.018;
/// Density of the boards of a box where its mass is not given, kg/m3 (common practice, no source).
constexpr double board_kg_m3 = 700;
/// Clearance around an amplifier (common practice, no source).
constexpr double amplifier_air_m = 0.050;

Vector3 sized(const std::vector<double>& size, bool turned) {
  if (size.size() != 3) return Vector3::Zero();
  return turned ? Vector3(size[1], size[0], size[2]) : Vector3(size[0], size[1], size[2]);
}

/// Volume that a driver takes up in its box; where its model gives none, three tenths of hole times depth
/// (common practice, no source).
double displacement_m3(const MountedDriver& driver) {
  const MountingSpec& mounting = driver.mounting;
  if (mounting.displacement_m3) return *mounting.displacement_m3;
  if (!mounting.cutout_m || !mounting.depth_m) return 0;
  return 0.3 * pi / 4 * *mounting.cutout_m * *mounting.cutout_m * *mounting.depth_m;
}

struct Steps {
  const SceneSpec& spec;
  Scene& scene;
  Faults& faults;
  SystemPlan& plan = scene.system;

  template <typename Spec>
  const Spec* model(const std::optional<std::variant<std::string, Spec>>& choice,
                    const SourceLocation& location, const char* noun,
                    const std::vector<std::string>& library) const {
    if (!choice) return nullptr;
    if (const Spec* own = std::get_if<Spec>(&*choice)) return own;
    const std::string& name = std::get<std::string>(*choice);
    // A file of that name that cannot be used has its own faults.
    if (std::count(library.begin(), library.end(), name) == 0)
      faults.add(location, unknown_name(fmt::format("{} model", noun), name, library));
    return nullptr;
  }

  std::vector<AmplifierRating> ratings(const AmplifierModelSpec& model, bool bridged,
                                       const std::string& owner) const {
    std::vector<AmplifierRating> list;
    const AmplifierRatingSpec* first = nullptr;
    for (const AmplifierRatingSpec& rating : model.ratings) {
      if (rating.bridged != bridged) continue;
      if (first == nullptr) first = &rating;
      if (rating.sound()) list.push_back({rating.load_ohm, rating.power_w});
    }
    std::sort(list.begin(), list.end(), [](const auto& a, const auto& b) { return a.load_ohm > b.load_ohm; });
    if (list.empty()) return list;
    const std::string wrong = rating_error(list);
    if (wrong.empty()) return list;
    faults.add(first->location, fmt::format("{}: its {}ratings contradict each other: {}", owner,
                                            bridged ? "bridged " : "", wrong));
    return {};
  }

  void amplifiers() const {
    for (const auto& entry : spec.amplifiers) {
      PlannedAmplifier planned;
      planned.name = entry.name;
      const AmplifierModelSpec* model =
          this->model(entry.value.model, entry.value.at("model"), "amplifier", spec.library_amplifiers);
      const std::string owner = fmt::format("amplifier '{}'", entry.name);
      if (model != nullptr && model->sound()) {
        Amplifier& amplifier = planned.amplifier;
        planned.model_name = model->name.empty() ? "given in place" : model->name;
        planned.input_ohm = model->input_ohm;
        amplifier.channels = model->channels;
        amplifier.ratings = ratings(*model, false, owner);
        amplifier.bridged = ratings(*model, true, owner);
        if (std::all_of(model->ratings.begin(), model->ratings.end(),
                        [](const AmplifierRatingSpec& rating) { return rating.bridged; }))
          faults.add(model->at("ratings"),
                     fmt::format("{}: no rating of one channel: give one that is not bridged", owner));
        if (!amplifier.bridged.empty() && model->channels < 2)
          faults.add(model->at("ratings"), fmt::format("{}: one channel cannot be bridged", owner));
        amplifier.supply_v = model->supply_v;
        amplifier.regulated = model->regulated;
        amplifier.distortion = model->distortion;
        if (!amplifier.ratings.empty())
          amplifier.least_load_ohm = model->least_load_ohm.value_or(amplifier.ratings.back().load_ohm);
        if (!amplifier.bridged.empty())
          amplifier.least_bridged_ohm = model->least_bridged_ohm.value_or(amplifier.bridged.back().load_ohm);
        amplifier.idle_a = model->idle_a;
        amplifier.efficiency = usual_efficiency(model->kind);
        if (model->efficiency) amplifier.efficiency.full = *model->efficiency;
        if (model->efficiency_at_eighth) amplifier.efficiency.eighth = *model->efficiency_at_eighth;
        if (amplifier.efficiency.eighth > amplifier.efficiency.full)
          faults.add(model->location,
                     fmt::format("{}: efficiency {:.0f} % at an eighth of the power is above {:.0f} % at "
                                 "full power",
                                 owner, 100 * amplifier.efficiency.eighth, 100 * amplifier.efficiency.full));
        body(entry.name, "amplifier", entry.value.floor_m, sized(model->size_m, entry.value.turned),
             model->mass_kg.value_or(0), amplifier_air_m, std::nullopt);
      }
      plan.amplifiers.push_back(std::move(planned));
    }
  }

  void body(const std::string& name, const char* kind, const std::optional<Vector3>& at,
            const Vector3& size_m, double mass_kg, double air_m, std::optional<bool> fixed) const {
    if (!at || size_m.isZero()) return;
    plan.space.bodies.push_back({name, kind, *at, size_m, mass_kg, air_m, fixed});
  }

  void processor() const {
    if (!spec.processor) return;
    const ProcessorSpec& given = *spec.processor;
    Processor processor;
    const ProcessorModelSpec* model =
        this->model(given.model, given.at("model"), "processor", spec.library_processors);
    if (model == nullptr || !model->sound()) return;
    processor.model_name = model->name.empty() ? "given in place" : model->name;
    processor.inputs = model->inputs;
    processor.outputs = model->outputs;
    if (model->has("bands")) processor.bands = model->bands;
    processor.sample_rate_hz = model->sample_rate_hz;
    processor.latency_s = model->latency_s;
    processor.delay_step_s = model->delay_step_s;
    processor.longest_delay_s = model->longest_delay_s;
    processor.least_load_ohm = model->least_load_ohm;
    processor.undoes = model->undoes;
    for (const auto& input : given.inputs) {
      const auto& [low_hz, high_hz] = input.value.band_hz;
      if (input.value.has("band") && input.value.sound("band") && !(low_hz < high_hz))
        faults.add(input.value.at("band"),
                   fmt::format("input '{}': its band ends at {:g} Hz, not above {:g} Hz", input.name, high_hz,
                               low_hz));
      processor.feeds.push_back(
          {input.name, input.value.from, input.value.kind, low_hz, high_hz, input.value.shaped});
    }
    const StillSoundsSpec& sounds = given.still_sounds;
    for (const auto& [words, said] : {std::pair{"chimes", sounds.chimes},
                                      {"parking warnings", sounds.parking},
                                      {"pedestrian warnings", sounds.pedestrian},
                                      {"emergency call", sounds.emergency_call},
                                      {"hands-free", sounds.hands_free}})
      if (said) processor.still_sounds.emplace_back(words, *said);
    body("processor", "thing", given.floor_m, sized(model->size_m, false), model->mass_kg.value_or(0), 0,
         std::nullopt);
    plan.processor = std::move(processor);
  }

  void feeds() const {
    struct Use {
      std::string channel;
      int amplifier = -1;
    };
    std::map<int, std::vector<Use>> outputs;  // of the processor
    std::map<int, SourceLocation> places;
    for (const auto& entry : spec.channels) {
      ChannelFeed feed;
      const std::string owner = fmt::format("channel '{}'", entry.name);
      if (entry.value.amplifier && entry.value.amplifier->sound()) {
        const AmplifierOutputSpec& options = *entry.value.amplifier;
        check_known("amplifier", {options.unit, options.at("unit")}, spec, "amplifiers", spec.amplifiers,
                    faults);
        feed.amplifier = position_of(spec.amplifiers, options.unit);
        feed.output = options.channel.value_or(0);
        feed.bridged_with = options.bridged_with.value_or(0);
        if (feed.amplifier >= 0) check_output(feed, options, owner);
      }
      if (entry.value.processor_output && entry.value.sound("processor_output")) {
        feed.processor_output = *entry.value.processor_output;
        if (plan.processor && feed.processor_output > plan.processor->outputs)
          faults.add(entry.value.at("processor_output"),
                     fmt::format("{}: processor_output {} does not exist: the processor has 1 to {}", owner,
                                 feed.processor_output, plan.processor->outputs));
        outputs[feed.processor_output].push_back({entry.name, feed.amplifier});
        places[feed.processor_output] = entry.value.at("processor_output");
      }
      plan.feeds.push_back(feed);
    }
    for (const auto& [output, uses] : outputs) check_drive(output, uses, places.at(output));
  }

  void check_output(const ChannelFeed& feed, const AmplifierOutputSpec& options,
                    const std::string& owner) const {
    const Amplifier& amplifier = plan.amplifiers[feed.amplifier].amplifier;
    if (amplifier.ratings.empty()) return;
    for (const auto& [number, key] : {std::pair{feed.output, "channel"}, {feed.bridged_with, "bridged_with"}})
      if (number > amplifier.channels)
        faults.add(options.at(key),
                   fmt::format("{}: channel {} of amplifier '{}' does not exist: it has 1 to {}", owner,
                               number, options.unit, amplifier.channels));
    if (feed.bridged_with == 0) return;
    if (amplifier.bridged.empty())
      faults.add(options.at("bridged_with"),
                 fmt::format("{}: amplifier '{}' cannot be bridged: its model has no bridged rating", owner,
                             options.unit));
    if (feed.bridged_with == feed.output || feed.output == 0)
      faults.add(options.at("bridged_with"),
                 fmt::format("{}: a bridged pair is two channels: give both", owner));
    else if (!is_pair(feed.output, feed.bridged_with))
      faults.warn(options.at("bridged_with"),
                  fmt::format("{}: channels {} and {} of amplifier '{}' are not a pair: bridge neighbours, 1 "
                              "and 2, 3 and 4 and so on",
                              owner, feed.output, feed.bridged_with, options.unit));
  }

  /// Inputs in parallel must not load an output below its minimum load.
  template <typename Uses>
  void check_drive(int output, const Uses& uses, const SourceLocation& location) const {
    if (!plan.processor) return;
    double admittance = 0;
    std::vector<std::string> names;
    for (const auto& use : uses)
      if (use.amplifier >= 0) {
        admittance += 1 / plan.amplifiers[use.amplifier].input_ohm;
        names.push_back(use.channel);
      }
    const double least = plan.processor->least_load_ohm;
    if (names.size() > 1 && admittance * least > 1 + 1e-9)
      faults.add(location,
                 fmt::format("processor output {} drives {} amplifier inputs ({}), {:.0f} ohm together; its "
                             "minimum load is {:.0f} ohm",
                             output, names.size(), fmt::join(names, ", "), 1 / admittance, least));
  }

  void batteries(const SupplySpec& given, SupplyPlan& supply) const {
    for (const auto& entry : given.batteries) {
      const BatterySpec& battery = entry.value;
      if (!battery.model.empty() && battery.sound("model") &&
          std::count(spec.library_batteries.begin(), spec.library_batteries.end(), battery.model) == 0)
        faults.add(battery.at("model"), unknown_name("battery model", battery.model, spec.library_batteries));
      const bool whole = battery.chemistry && battery.capacity_ah;
      for (const char* key : {"chemistry", "capacity"})
        if (!battery.has(key) && battery.model.empty())
          faults.add(battery.location, fmt::format("battery '{}': key '{}' is missing", entry.name, key));
      PlannedBattery planned;
      if (whole) static_cast<Battery&>(planned) = battery_of(*battery.chemistry, *battery.capacity_ah);
      planned.name = entry.name;
      auto take = [](double& value, const std::optional<double>& said) { value = said.value_or(value); };
      take(planned.rest_v, battery.rest_v);
      take(planned.resistance_ohm, battery.resistance_ohm);
      take(planned.peukert_exponent, battery.peukert);
      take(planned.rated_hours, battery.rated_hours);
      take(planned.depth_of_discharge, battery.depth_of_discharge);
      take(planned.continuous_a, battery.continuous_a);
      take(planned.peak_a, battery.peak_a);
      // One limit of a protection circuit counts for both: continuous current is also allowed for seconds,
      // and no more than the given peak is known to last.
      if (!battery.peak_a) planned.peak_a = planned.continuous_a;
      if (!battery.continuous_a) planned.continuous_a = planned.peak_a;
      take(planned.charge_a, battery.charge_a);
      take(planned.charge_v, battery.charge_v);
      if (battery.charge_v && *battery.charge_v <= planned.rest_v && battery.sound("charge_voltage") &&
          battery.sound("rest_voltage"))
        faults.add(battery.at("charge_voltage"),
                   fmt::format("battery '{}': charge_voltage {:g} V is not above its rest voltage, {:g} V",
                               entry.name, *battery.charge_v, planned.rest_v));
      planned.vented = battery.vented;
      planned.fixed = battery.fixed;
      planned.in_cabin = battery.floor_m.has_value();
      planned.charges_when_cold = battery.charges_when_cold;
      if (planned.peak_a < planned.continuous_a && battery.sound("peak_current") &&
          battery.sound("continuous_current"))
        faults.add(battery.at("peak_current"),
                   fmt::format("battery '{}': peak_current {:g} A is below continuous_current {:g} A",
                               entry.name, planned.peak_a, planned.continuous_a));
      body(entry.name, "battery", battery.floor_m, sized(battery.size_m, false), battery.mass_kg.value_or(0),
           0, battery.fixed);
      supply.batteries.push_back(std::move(planned));
    }
  }

  /// Cables refer to their ends by name alone.
  void nodes_have_names_of_their_own(const SupplySpec& given) const {
    std::map<std::string, std::string> owner{{"alternator", "the alternator"},
                                             {"processor", "the processor"}};
    for (const auto& amplifier : spec.amplifiers) owner.try_emplace(amplifier.name, "an amplifier");
    const auto take = [&](const std::string& name, const SourceLocation& location, const char* what) {
      const auto [found, is_new] = owner.try_emplace(name, what);
      if (!is_new)
        faults.add(location, fmt::format("'{}' is {} and {}: cables refer to names, so rename one", name,
                                         what, found->second));
    };
    for (const auto& battery : given.batteries) take(battery.name, battery.value.location, "a battery");
    for (const auto& junction : given.junctions) take(junction.value, junction.location, "a junction");
  }

  void supply() const {
    if (!spec.supply) return;
    const SupplySpec& given = *spec.supply;
    SupplyPlan supply;
    if (given.alternator)
      supply.alternator = {given.alternator->rated_a, given.alternator->smart, given.alternator->voltage_v,
                           given.alternator->car_a};
    batteries(given, supply);
    supply.parked_drain_a = given.parked_drain_a;
    supply.ambient_c = given.ambient_k - 273.15;
    for (const auto& junction : given.junctions) supply.junctions.push_back(junction.value);
    nodes_have_names_of_their_own(given);
    std::vector<std::string> ends = names_of(given.batteries);
    ends.insert(ends.end(), supply.junctions.begin(), supply.junctions.end());
    // A charger beside the alternator draws from the battery or junction there.
    const std::vector<std::string> charger_ends = ends;
    ends.emplace_back("alternator");
    for (const auto& amplifier : spec.amplifiers) ends.push_back(amplifier.name);
    if (spec.processor) ends.emplace_back("processor");
    auto known = [&](const Given& owner, const char* noun, const char* key, const std::string& name,
                     const std::vector<std::string>& list) {
      if (name.empty() || std::count(list.begin(), list.end(), name) > 0) return !name.empty();
      const bool all_named = !given.batteries.empty() || given.sound("batteries");
      if (all_named && (!spec.amplifiers.empty() || spec.sound("amplifiers")))
        faults.add(owner.at(key), unknown_name(noun, name, list));
      return false;
    };
    for (const auto& charger : given.chargers) {
      if (!charger.value.sound()) continue;
      const bool from = known(charger.value, "battery or junction", "from", charger.value.from, charger_ends);
      const bool to = known(charger.value, "battery or junction", "to", charger.value.to, charger_ends);
      if (from && to && charger.value.from == charger.value.to)
        faults.add(charger.value.location,
                   fmt::format("charger '{}': from and to are the same", charger.name));
      else if (from && to)
        supply.chargers.push_back({charger.name, charger.value.from, charger.value.to,
                                   charger.value.current_a, charger.value.voltage_v,
                                   charger.value.efficiency});
    }
    for (const CableSpec& cable : given.cables) {
      const bool from = known(cable, "end of a cable", "from", cable.from, ends);
      const bool to = known(cable, "end of a cable", "to", cable.to, ends);
      if (cable.has("area") == cable.has("gauge"))
        faults.add(cable.location,
                   fmt::format("cable from {} to {}: give either area or gauge", cable.from, cable.to));
      if (from && to && cable.from == cable.to)
        faults.add(cable.location,
                   fmt::format("cable from {} to {}: both ends are the same", cable.from, cable.to));
      if (!from || !to || !cable.sound() || cable.from == cable.to || cable.has("area") == cable.has("gauge"))
        continue;
      for (const auto& [fuse, key] :
           {std::pair{cable.fuse_start_a, "fuse_start"}, {cable.fuse_end_a, "fuse_end"}})
        if (fuse && !is_fuse_step(*fuse))
          faults.warn(cable.at(key),
                      fmt::format("cable from {} to {}: {:g} A is not a standard fuse rating (ISO 8820)",
                                  cable.from, cable.to, *fuse));
      PlannedCable planned{cable.from, cable.to, {}, cable.fuse_start_a, cable.fuse_end_a};
      planned.run.conductor =
          cable.area_m2 ? metric_conductor(*cable.area_m2) : gauge_conductor(*cable.gauge);
      planned.run.length_m = cable.length_m;
      planned.run.returns_in_cable = cable.returns_in_cable;
      planned.run.connections = cable.connections;
      supply.cables.push_back(std::move(planned));
    }
    check_loops(given, supply);
    plan.supply = std::move(supply);
  }

  /// Two batteries joined without a fuse feed a short from both sides.
  void check_loops(const SupplySpec& given, const SupplyPlan& supply) const {
    JoinedNodes joined;
    std::set<std::string> batteries;
    for (const auto& battery : supply.batteries) batteries.insert(battery.name);
    for (const CableSpec& cable : given.cables) {
      if (cable.from.empty() || cable.to.empty() || cable.fuse_start_a || cable.fuse_end_a) continue;
      if (!cable.sound("fuse_start") || !cable.sound("fuse_end")) continue;
      const std::string one = joined.group(cable.from), other = joined.group(cable.to);
      if (one == other) continue;
      // A battery on each side, now joined with each other.
      auto holding = [&](const std::string& group) {
        for (const std::string& name : batteries)
          if (joined.group(name) == group) return name;
        return std::string();
      };
      const std::string first = holding(one), second = holding(other);
      if (!first.empty() && !second.empty())
        faults.add(cable.location,
                   fmt::format("batteries '{}' and '{}' are joined without a fuse: each feeds a short of the "
                               "other; give fuse_start and fuse_end, one at each end",
                               first, second));
      joined.join(one, other);
    }
  }

  void boxes() const {
    for (const auto& entry : spec.boxes) {
      const SharedBoxSpec& given = entry.value;
      if (entry.broken) continue;
      BoxPlan box;
      box.name = entry.name;
      box.fixed = given.fixed;
      box.board_m = given.board_m.value_or(given.outside ? usual_board_m : 0);
      box.board_assumed = given.outside && !given.board_m;
      box.bracing_m3 = given.bracing_m3.value_or(0);
      box.net_m3 = given.sealed_m3 ? *given.sealed_m3 : given.vented ? given.vented->volume_m3 : 0;
      double drivers_kg = 0;
      for (std::size_t d = 0; d < scene.drivers.size(); ++d) {
        const int listed = position_of(spec.drivers, scene.drivers[d].name);
        if (listed < 0 || !spec.drivers[listed].value.loading) continue;
        const auto* loading = std::get_if<LoadingMappingSpec>(&*spec.drivers[listed].value.loading);
        if (loading == nullptr || loading->box != entry.name) continue;
        ++box.drivers;
        box.drivers_m3 += displacement_m3(scene.drivers[d]);
        drivers_kg += scene.drivers[d].mounting.mass_kg.value_or(0);
        if (const auto* vented = std::get_if<VentedBox>(&scene.drivers[d].loading);
            vented != nullptr && vented->port_diameter_m > 0) {
          box.port_diameter_m = vented->port_diameter_m;
          box.ports = vented->ports;
          box.port_length_m = vented->port_length_m > 0 && !(vented->tuning_hz > 0)
                                  ? vented->port_length_m
                                  : port_length_m(*vented, scene.air.sound_speed_m_s);
        }
      }
      if (given.outside && given.outside->at && given.outside->size_m) {
        box.outside_m = *given.outside->size_m;
        const Vector3 inside = box.outside_m.array() - 2 * box.board_m;
        if (box.board_m > 0 && inside.minCoeff() <= 0)
          faults.add(given.at(box.board_assumed ? "outside" : "board"),
                     fmt::format("box '{}': boards of {:.0f} mm leave nothing inside {:.0f} mm", entry.name,
                                 box.board_m * 1000, box.outside_m.minCoeff() * 1000));
        if (given.mass_kg)
          box.mass_kg = *given.mass_kg;
        else if (box.board_m > 0)
          box.mass_kg = drivers_kg + board_kg_m3 * (box.outside_m.prod() - inside.prod());
        body(entry.name, "box", *given.outside->at, box.outside_m, box.mass_kg, 0, given.fixed);
      } else {
        box.mass_kg = given.mass_kg.value_or(0);
      }
      plan.boxes.push_back(std::move(box));
    }
  }

  void load_space() const {
    if (!spec.load_space) return;
    const LoadSpaceSpec& given = *spec.load_space;
    for (const auto& thing : given.things)
      if (thing.value.floor_m && thing.value.size_m)
        body(thing.name, "thing", *thing.value.floor_m, *thing.value.size_m, thing.value.mass_kg.value_or(0),
             thing.value.air_m, std::nullopt);
    auto rooms = [](const std::vector<Named<RoomSpec>>& list, std::vector<Body>& bodies) {
      for (const auto& room : list)
        if (room.value.floor_m && room.value.size_m)
          bodies.push_back({room.name, "room", *room.value.floor_m, *room.value.size_m, 0, 0, std::nullopt});
    };
    rooms(given.rooms, plan.space.rooms);
    rooms(given.keep_free, plan.space.kept_free);
    if (!given.axles || !given.axles->sound()) return;
    if (given.axles->rear_x_m <= given.axles->front_x_m)
      faults.add(given.axles->location, "axles: the rear axle needs the greater x");
    plan.space.axle_x_m = {given.axles->front_x_m, given.axles->rear_x_m};
  }
};

}  // namespace

void system_plan(const SceneSpec& spec, Scene& scene, Faults& faults) {
  const Steps steps{spec, scene, faults};
  steps.boxes();
  steps.amplifiers();
  steps.processor();
  steps.feeds();
  steps.supply();
  steps.load_space();
  scene.system.crest_db = spec.compute.crest_db;
  if (spec.vehicle)
    scene.system.vehicle = {spec.vehicle->high_voltage, spec.vehicle->drilling, spec.vehicle->seats_touched};
}

}  // namespace cabinfield::build
