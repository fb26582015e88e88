#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/constants.h"
#include "base/nearest_name.h"
#include "base/quoted.h"
#include "field/frequency_grid.h"
#include "field/images/box_lattice.h"
#include "field/images/image_field.h"
#include "field/images/mirror_search.h"
#include "scene/build_steps.h"

namespace cabinfield {
namespace build {

std::string unknown_name(const std::string& kind, const std::string& name,
                         const std::vector<std::string>& all) {
  std::vector<std::string> known = all;
  std::erase(known, "");
  if (known.empty()) return fmt::format("unknown {} {}: the scene has none", kind, quoted(name));
  std::vector<std::string> faces;
  for (const std::string& other : known)
    if (other.starts_with(name + ".")) faces.push_back(other);
  if (!faces.empty())
    return fmt::format("unknown {} {}: this is a block; give one of its faces: {}", kind, quoted(name),
                       joined_by_commas(faces));
  // The nearest name serves better than a wall of them.
  const std::size_t most_listed = nearest_name(name, known).empty() ? 24 : 6;
  std::vector<std::string> listed(
      known.begin(), known.begin() + static_cast<std::ptrdiff_t>(std::min(known.size(), most_listed)));
  return fmt::format("unknown {} {}{} known: {}{}", kind, quoted(name),
                     nearest_name(name, known).empty() ? ";" : nearest_name_hint(name, known),
                     joined_by_commas(listed), known.size() > most_listed ? ", …" : "");
}

Air air(const AirSpec& spec, Faults& faults) {
  if (spec.has("sound_speed") != spec.has("density"))
    faults.add(spec.location,
               "air: sound_speed and density go together: give both, or temperature, humidity and pressure");
  const bool conditions = spec.has("temperature") || spec.has("humidity") || spec.has("pressure");
  if (conditions && (spec.has("sound_speed") || spec.has("density")))
    faults.add(spec.location,
               "air: give either sound_speed and density, or temperature, humidity and pressure, not both");
  if (spec.sound_speed_m_s && spec.density_kg_m3) return air_with(*spec.sound_speed_m_s, *spec.density_kg_m3);
  AirConditions given;
  given.temperature_k = spec.temperature_k.value_or(given.temperature_k);
  given.humidity = spec.humidity.value_or(given.humidity);
  given.pressure_pa = spec.pressure_pa.value_or(given.pressure_pa);
  return air_at(given);
}

Computation computation(const SceneSpec& spec, const Cabin* cabin, Faults& faults) {
  const ComputeSpec& given = spec.compute;
  const FrequenciesSpec& frequencies = given.frequencies;
  Computation result;
  result.terminal_voltage_v = given.terminal_voltage_v;
  result.sample_rate_hz = default_sample_rate_hz;
  constexpr std::size_t most_frequencies = 20000;
  if (frequencies.has("list")) {
    const bool both = frequencies.has("from") || frequencies.has("to") || frequencies.has("per_octave");
    if (both && frequencies.sound("list"))
      faults.add(frequencies.at("list"),
                 "frequencies: give either list, or from, to and per_octave, not both");
    for (std::size_t i = 0; i + 1 < frequencies.list_hz.size(); ++i)
      if (frequencies.list_hz[i + 1] <= frequencies.list_hz[i]) {
        faults.add(frequencies.at("list"),
                   fmt::format("frequencies: the list must increase, but {:g} Hz follows {:g} Hz",
                               frequencies.list_hz[i + 1], frequencies.list_hz[i]));
        break;
      }
    result.frequency_hz = frequencies.list_hz;
  } else if (frequencies.to_hz <= frequencies.from_hz) {
    if (frequencies.sound("from") && frequencies.sound("to"))
      faults.add(frequencies.at("to"), fmt::format("frequencies: to {:g} Hz is not above from {:g} Hz",
                                                   frequencies.to_hz, frequencies.from_hz));
  } else {
    result.frequency_hz = octave_grid_hz(frequencies.from_hz, frequencies.to_hz, frequencies.per_octave);
  }
  if (result.frequency_hz.size() > most_frequencies)
    faults.add(frequencies.location, fmt::format("frequencies: {} values; the maximum is {}",
                                                 result.frequency_hz.size(), most_frequencies));

  result.field = given.field.value_or(spec.cabin ? FieldKind::joined : FieldKind::images);
  result.wave_top_hz = given.wave_top_hz;
  // Above its top the wave field's mesh is too coarse to mean anything.
  if (result.field == FieldKind::wave && spec.cabin && !result.frequency_hz.empty() &&
      result.frequency_hz.back() > result.wave_top_hz) {
    const char* const key = frequencies.has("list") ? "list" : "to";
    if (frequencies.has(key))
      faults.add(frequencies.at(key),
                 fmt::format("frequencies: the highest is {:g} Hz, but field: wave ends at wave_top, {:g} "
                             "Hz: lower the highest, raise wave_top (2 kHz at most) or use field: joined",
                             frequencies.has("list") ? result.frequency_hz.back() : frequencies.to_hz,
                             result.wave_top_hz));
    auto& kept = result.frequency_hz;
    kept.erase(std::upper_bound(kept.begin(), kept.end(), result.wave_top_hz), kept.end());
    if (kept.empty() && !frequencies.has(key))
      faults.add(frequencies.at("from"),
                 fmt::format("frequencies: all are above wave_top, {:g} Hz, where field: wave ends",
                             result.wave_top_hz));
  }
  const bool lattice = cabin != nullptr && is_empty_box(*cabin);
  result.image_order = given.image_order.value_or(lattice ? 30 : 3);
  const int most = lattice || cabin == nullptr ? ImageField::most_box_order : MirrorPath::most_order;
  if (result.image_order > most)
    faults.add(given.at("image_order"),
               fmt::format("compute: image_order {} is outside 0 to {}{}", result.image_order, most,
                           lattice ? "" : ": only an empty box with one material on each wall allows more"));
  return result;
}

std::vector<Tape> tapes(const SceneSpec& spec, const Scene& scene, Faults& faults) {
  std::vector<Tape> result;
  for (const TapeSpec& tape : spec.tape) {
    auto end = [&](const std::variant<std::string, Vector3>& given, const char* key,
                   std::string& words) -> std::optional<Vector3> {
      if (const Vector3* point = std::get_if<Vector3>(&given)) {
        words = fmt::format("({:.3f}, {:.3f}, {:.3f}) m", point->x(), point->y(), point->z());
        return *point;
      }
      words = std::get<std::string>(given);
      const std::size_t dot = words.find('.');
      const std::string kind = words.substr(0, dot),
                        name = dot == std::string::npos ? "" : words.substr(dot + 1);
      auto look = [&](const auto& built, const auto& listed, const char* noun,
                      auto position) -> std::optional<Vector3> {
        check_known(noun, {name, tape.at(key)}, spec, kind.c_str(), listed, faults);
        const int at = position_of(built, name);
        return at < 0 ? std::nullopt : std::optional<Vector3>(position(built[static_cast<std::size_t>(at)]));
      };
      if (kind == "seats")
        return look(scene.seats, spec.seats, "seat", [](const Seat& seat) { return seat.head; });
      if (kind == "drivers")
        return look(scene.drivers, spec.drivers, "driver",
                    [](const MountedDriver& driver) { return driver.source.position; });
      if (kind == "marks")
        return look(scene.marks, spec.marks, "mark", [](const Mark& mark) { return mark.position; });
      faults.add(
          tape.at(key),
          fmt::format("tape: {} is not known; expected seats.NAME, drivers.NAME, marks.NAME or a point",
                      quoted(words)));
      return std::nullopt;
    };
    Tape entry;
    entry.taped_m = tape.length_m;
    if (!tape.sound()) continue;
    const auto from = end(tape.from, "from", entry.from), to = end(tape.to, "to", entry.to);
    if (!from || !to) continue;
    entry.from_point = *from;
    entry.to_point = *to;
    entry.drawn_m = (*to - *from).norm();
    const double off = entry.drawn_m - entry.taped_m;
    const std::string message =
        fmt::format("tape from {} to {}: taped {:.0f} mm, drawn {:.0f} mm: the drawing is {:.0f} mm too {}",
                    entry.from, entry.to, entry.taped_m * 1000, entry.drawn_m * 1000, std::abs(off) * 1000,
                    off > 0 ? "long" : "short");
    if (std::abs(off) > tape_fault_m)
      faults.add(
          {tape.at("length"),
           message + fmt::format(" (the maximum is {:.0f} mm)", tape_fault_m * 1000),
           FaultCode::tape_mismatch,
           {SubjectKind::tape, entry.from + " to " + entry.to},
           {{"taped", entry.taped_m, "m"}, {"drawn", entry.drawn_m, "m"}, {"limit", tape_fault_m, "m"}}});
    else if (std::abs(off) > tape_warning_m)
      faults.warn(tape.at("length"), message);
    result.push_back(entry);
  }
  return result;
}

}  // namespace build

Source source_in(const Scene& scene, int driver, int state) {
  Source source = scene.drivers.at(static_cast<std::size_t>(driver)).source;
  source.face = scene.states.at(static_cast<std::size_t>(state)).face.at(static_cast<std::size_t>(driver));
  return source;
}

std::optional<Scene> build_scene(const SceneSpec& spec, Faults& faults, CabinShelf* shelf) {
  CabinShelf own;
  CabinShelf& cabins = shelf != nullptr ? *shelf : own;
  Scene scene;
  scene.title = spec.title;
  if (spec.wheel_side) scene.wheel_side = *spec.wheel_side == WheelSide::left ? "left" : "right";
  scene.air = build::air(spec.air, faults);
  build::Materials materials(spec, faults);
  build::Fillings fillings(spec, faults);
  const std::optional<build::DrawnCabin> drawn =
      build::draw_cabin(spec, materials, fillings, cabins, faults, scene.notes);
  if (drawn) {
    scene.cabin = build::stand(*drawn, *spec.cabin, "cabin", spec.cabin->location, cabins, faults);
    scene.transfer_impedances = drawn->transfer_impedances;
  }
  if (scene.cabin) {
    build::warn_of_hidden_blocks(*drawn, *scene.cabin, faults);
    build::check_partitions(*drawn, *scene.cabin, faults);
    scene.ways = cabins.ways(scene.cabin);
    scene.leaks = build::leaks(spec.cabin->leaks, *scene.cabin, faults);
  }
  scene.seats = build::seats(spec, scene.cabin.get(), faults);
  for (const auto& mark : spec.marks)
    if (!mark.broken) scene.marks.push_back({mark.name, mark.value});
  scene.drivers = build::drivers(spec, scene, faults, scene.notes);
  build::states(spec, drawn, materials, fillings, cabins, scene, faults);
  scene.materials = materials.list();
  scene.fillings = fillings.list();
  build::channels(spec, scene, faults);
  build::system_plan(spec, scene, faults);
  scene.tapes = build::tapes(spec, scene, faults);
  scene.computation = build::computation(spec, scene.cabin.get(), faults);
  build::processing(spec, scene, faults);
  if (spec.brief) {
    for (const auto& seat : spec.brief->listen) {
      build::check_known("seat", seat, spec, "seats", spec.seats, faults);
      scene.brief.listen.push_back(seat.value);
    }
    scene.brief.level_db = spec.brief->level_db;
    scene.brief.keep = spec.brief->keep;
  }

  auto skip = [&](bool missing, const char* words) {
    if (missing) scene.skipped.push_back(words);
  };
  skip(!spec.cabin, "reflections and blocked lines: add cabin");
  skip(spec.seats.empty(), "the response at each seat: add seats");
  skip(spec.drivers.empty(), "distances, arrivals and fit: add drivers");
  std::vector<std::string> on_no_surface;
  for (const auto& driver : spec.drivers)
    if (!driver.value.surface.empty()) on_no_surface.push_back(driver.name);
  if (!spec.cabin && !on_no_surface.empty())
    scene.skipped.push_back(fmt::format("the surface{} of {}, computed as {} in free air: add cabin",
                                        on_no_surface.size() > 1 ? "s" : "", joined_by_commas(on_no_surface),
                                        on_no_surface.size() > 1 ? "points" : "a point"));
  skip(spec.channels.empty(), "levels and summed response: add channels");
  skip(spec.presets.empty(), "presets other than as_drawn: add presets");
  if (!spec.channels.empty()) {
    skip(spec.amplifiers.empty(), "outputs, loads, power and level limits: add amplifiers");
    skip(!spec.processor, "inputs and processor outputs: add processor");
    skip(!spec.supply, "currents, cables, fuses and protection circuits: add supply");
  }
  skip(spec.marks.empty(), "the position of each hole on the car: add marks");
  skip(spec.tape.empty(), "whether the drawing agrees with the car: add tape");

  // What a constant resistive wall does below its corner, said with the area that this cabin gives it.
  if (scene.cabin) {
    const auto area = scene.cabin->exposed_area_m2(static_cast<int>(scene.materials.size()));
    for (std::size_t m = 0; m < scene.materials.size(); ++m) {
      const Material& material = scene.materials[m];
      if (!material.specific_impedance || area[m] <= 0) continue;
      const double conductance = (1.0 / *material.specific_impedance).real();
      if (conductance <= 0) continue;
      const double corner =
          pressure_gain_corner_hz(conductance, area[m], scene.cabin->air_volume_m3(), scene.air);
      faults.warn(spec.cabin->location,
                  fmt::format("material '{}' has the same specific impedance at all frequencies: its {:.1f} "
                              "m2 act as a leak, which removes the cabin's pressure gain below {:.0f} Hz",
                              material.name, area[m], corner));
    }
  }
  build::warn_of_implausible(spec, scene, faults);
  if (faults.any()) return std::nullopt;
  return scene;
}

}  // namespace cabinfield
