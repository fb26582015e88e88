#include "output/layout.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>
#include <type_traits>
#include <utility>

namespace cabinfield {
namespace {

using Names = std::vector<std::string>;

static_assert(sizeof(Vector3) == 3 * sizeof(double) && sizeof(Complex) == 2 * sizeof(double));

// How each kind of member becomes an array: vectors gain a trailing x, y, z, complex numbers a trailing real,
// imaginary.

DatasetValues values_of(double value) { return {{}, std::vector<double>{value}}; }

DatasetValues values_of(const std::optional<double>& value) {
  return {{}, value ? std::vector<double>{*value} : std::vector<double>{}};
}

DatasetValues values_of(const std::string& text) { return {{}, text.empty() ? Names{} : Names{text}}; }

DatasetValues values_of(FieldKind kind) {
  switch (kind) {
    case FieldKind::images:
      return values_of(std::string("images"));
    case FieldKind::wave:
      return values_of(std::string("wave"));
    case FieldKind::joined:
      return values_of(std::string("joined"));
    case FieldKind::free:
      return values_of(std::string("free"));
  }
  return {};
}

template <typename T>
DatasetValues arrayed(std::vector<std::size_t> shape, const std::vector<T>& values) {
  if constexpr (std::is_same_v<T, Vector3> || std::is_same_v<T, Complex>) {
    constexpr std::size_t parts = sizeof(T) / sizeof(double);
    shape.push_back(parts);
    std::vector<double> flat(values.size() * parts);
    for (std::size_t index = 0; index < values.size(); ++index)
      if constexpr (std::is_same_v<T, Complex>) {
        flat[index * parts] = values[index].real();
        flat[index * parts + 1] = values[index].imag();
      } else {
        std::copy_n(values[index].data(), parts, flat.begin() + index * parts);
      }
    return {std::move(shape), std::move(flat)};
  } else {
    return {std::move(shape), values};
  }
}

template <typename T>
DatasetValues values_of(const std::vector<T>& values) {
  return arrayed({values.size()}, values);
}

template <typename T, std::size_t Rank>
DatasetValues values_of(const Table<T, Rank>& table) {
  return arrayed({table.shape().begin(), table.shape().end()}, table.values());
}

DatasetValues values_of(const std::vector<std::array<int, 3>>& triples) {
  std::vector<int> flat;
  for (const auto& triple : triples) flat.insert(flat.end(), triple.begin(), triple.end());
  return {{triples.size(), 3}, std::move(flat)};
}

DatasetValues counted(std::size_t count) {
  std::vector<int> numbers(count);
  std::iota(numbers.begin(), numbers.end(), 0);
  return values_of(numbers);
}

template <typename Row, typename Get>
auto of_rows(std::vector<Row> Results::*list, Get get) {
  return [list, get](const Results& results) {
    std::vector<std::decay_t<decltype(get(std::declval<Row>()))>> column;
    for (const Row& row : results.*list) column.push_back(get(row));
    return values_of(column);
  };
}

template <typename Get>
auto of_reflections(Get get) {
  return of_rows(&Results::reflection, get);
}

bool has_length(const Check& check) { return check.margin && check.margin->unit == MarginUnit::metre; }
bool has_other_margin(const Check& check) { return check.margin && !has_length(check); }

template <typename Get>
auto of_checks(Get get) {
  return of_rows(&Results::checks, get);
}

template <typename Get>
auto of_notches(Get get) {
  return of_rows(&Results::notch, get);
}

auto fixed(Names names) {
  return [names = std::move(names)](const Results&) { return values_of(names); };
}

template <typename Member>
auto member(Member Results::*pointer) {
  return [pointer](const Results& results) { return values_of(results.*pointer); };
}

template <typename Member>
auto drawn(Member DrawnGeometry::*pointer) {
  return [pointer](const Results& results) { return values_of(results.geometry.*pointer); };
}

template <typename Member>
auto mapped(Member FieldMaps::*pointer) {
  return [pointer](const Results& results) { return values_of(results.maps.*pointer); };
}

template <typename Member>
auto planned(Member SystemReport::*pointer) {
  return [pointer](const Results& results) { return values_of(results.system.*pointer); };
}

template <typename Get>
auto of_feeds(Get get) {
  return [get](const Results& results) {
    std::vector<std::decay_t<decltype(get(std::declval<FeedRow>()))>> column;
    // Nothing is fed where the scene names neither amplifiers nor an output of a processor.
    const auto& feeds = results.system.feed;
    if (results.system.amplifier.empty() &&
        std::none_of(feeds.begin(), feeds.end(), [](const FeedRow& f) { return f.processor_output > 0; }))
      return values_of(column);
    for (const FeedRow& row : results.system.feed) column.push_back(get(row));
    return values_of(column);
  };
}

template <typename Get>
auto of_ways(Get get) {
  return [get](const Results& results) {
    std::vector<std::decay_t<decltype(get(std::declval<WiringRow>()))>> column;
    for (const WiringRow& row : results.system.wiring) column.push_back(get(row));
    return values_of(column);
  };
}

template <typename Member>
auto limited(Member LimitReport::*pointer) {
  return [pointer](const Results& results) { return values_of(results.limits.*pointer); };
}

/// A scalar that is left out where it is 0.
auto known_above_0(double SystemReport::*pointer, double factor) {
  return [pointer, factor](const Results& results) {
    const double value = results.system.*pointer;
    return values_of(value > 0 ? std::optional<double>(value * factor) : std::nullopt);
  };
}

/// Numbers of the rows of a table, an axis for what has no names.
template <typename Size>
auto rows(Size size) {
  return [size](const Results& results) { return counted(size(results)); };
}

}  // namespace

std::size_t DatasetValues::size() const {
  return std::visit([](const auto& values) { return values.size(); }, data);
}

std::vector<LayoutEntry> results_layout() {
  using R = Results;
  using G = DrawnGeometry;
  using M = FieldMaps;
  // xarray refuses an array named like one of its own axes, so these two count their channels and signals.
  const Names responses = {"preset", "channel_index", "seat", "ear", "frequency", "complex"};
  const Names signals = {"preset", "signal_index", "seat", "ear", "frequency", "complex"};
  return {
      {"/frequency", {"frequency"}, "Hz", "frequency", member(&R::frequency_hz)},
      {"/seat", {"seat"}, "", "names of the seats", member(&R::seat)},
      {"/ear", {"ear"}, "", "ears", fixed({"left", "right"})},
      {"/driver", {"driver"}, "", "names of the drivers", member(&R::driver)},
      {"/channel", {"channel"}, "", "names of the channels", member(&R::channel)},
      {"/preset", {"preset"}, "", "names of the presets", member(&R::preset)},
      {"/signal",
       {"signal"},
       "",
       "signal: left input only, right input only, mono (both inputs)",
       fixed({"left", "right", "mono"})},
      {"/complex", {"complex"}, "", "parts of a complex number", fixed({"real", "imaginary"})},
      {"/xyz", {"xyz"}, "", "x rearward, y to the vehicle's right, z up", fixed({"x", "y", "z"})},
      {"/direction",
       {"direction"},
       "",
       "angles: azimuth, elevation above the eye line, angle off the driver's axis",
       fixed({"side", "above", "off_axis"})},
      {"/mark", {"mark"}, "", "names of the marks", member(&R::mark)},
      {"/corner", {"corner"}, "", "corners of a triangle", fixed({"first", "second", "third"})},
      {"/channel_index", {"channel_index"}, "1", "number of the channel, from 0", rows([](const R& r) {
         return r.channel.size();
       })},
      {"/signal_index",
       {"signal_index"},
       "1",
       "number of the signal, from 0",
       [](const R&) { return counted(3); }},
      {"/vertex_index", {"vertex_index"}, "1", "number of the vertex, from 0", rows([](const R& r) {
         return r.geometry.vertex_m.size();
       })},
      {"/triangle_index", {"triangle_index"}, "1", "number of the triangle, from 0", rows([](const R& r) {
         return r.geometry.triangle.size();
       })},
      {"/surface_index", {"surface_index"}, "1", "number of the surface, from 0", rows([](const R& r) {
         return r.geometry.surface.size();
       })},
      {"/check_index", {"check_index"}, "1", "number of the check, from 0", rows([](const R& r) {
         return r.checks.size();
       })},
      {"/note_index", {"note_index"}, "1", "number of the note, from 0", rows([](const R& r) {
         return r.notes.size();
       })},
      {"/mode_index", {"mode_index"}, "1", "number of the mode, from 0", rows([](const R& r) {
         return r.mode_frequency_hz.size();
       })},
      {"/map_frequency", {"map_frequency"}, "Hz", "frequencies of the maps", mapped(&M::frequency_hz)},
      {"/map_surface", {"map_surface"}, "", "surfaces of the maps", mapped(&M::surface)},
      {"/map_point_index",
       {"map_point_index"},
       "1",
       "number of the point of the maps, from 0",
       rows([](const R& r) { return r.maps.point_m.size(); })},
      {"/map_triangle_index",
       {"map_triangle_index"},
       "1",
       "number of the triangle of the maps, from 0",
       rows([](const R& r) { return r.maps.triangle.size(); })},
      {"/warning_index", {"warning_index"}, "1", "number of the warning, from 0", rows([](const R& r) {
         return r.warnings.size();
       })},

      {"/amplifier", {"amplifier"}, "", "names of the amplifiers", planned(&SystemReport::amplifier)},
      {"/battery", {"battery"}, "", "names of the batteries", planned(&SystemReport::battery)},
      {"/cable", {"cable"}, "", "cables, from one end to the other", planned(&SystemReport::cable)},
      {"/load_case", {"load_case"}, "", "load cases of the supply", planned(&SystemReport::load_case)},
      {"/wiring_index", {"wiring_index"}, "1", "number of the wiring of coils, from 0", rows([](const R& r) {
         return r.system.wiring.size();
       })},
      {"/limit_kind", {"limit_kind"}, "", "kinds of limits of the level", limited(&LimitReport::kind)},
      {"/third_octave",
       {"third_octave"},
       "Hz",
       "centre frequencies of the third octaves",
       limited(&LimitReport::third_octave_hz)},

      {"/reflection_index",
       {"reflection_index"},
       "1",
       "number of the reflection, from 0",
       rows([](const R& r) { return r.reflection.size(); })},
      {"/notch_index", {"notch_index"}, "1", "number of the notch, from 0", rows([](const R& r) {
         return r.notch.size();
       })},

      {"/scene/source", {}, "", "the scene file as read", member(&R::scene_source)},
      {"/scene/resolved",
       {},
       "",
       "the scene with every default and model filled in",
       member(&R::scene_resolved)},
      {"/scene/wheel_side", {}, "", "side of the steering wheel: left or right", member(&R::wheel_side)},

      {"/air/sound_speed", {}, "m s-1", "speed of sound", member(&R::sound_speed_m_s)},
      {"/air/density", {}, "kg m-3", "density of air", member(&R::density_kg_m3)},

      {"/geometry/vertex", {"vertex_index", "xyz"}, "m", "corners of the triangles", drawn(&G::vertex_m)},
      {"/geometry/triangle",
       {"triangle_index", "corner"},
       "1",
       "vertices of each triangle, counter-clockwise as seen from the air",
       drawn(&G::triangle)},
      {"/geometry/triangle_surface",
       {"triangle_index"},
       "1",
       "index into the surfaces for each triangle, from 0",
       drawn(&G::triangle_surface)},
      {"/geometry/surface",
       {"surface_index"},
       "",
       "names of the surfaces; the faces of a block are block.face",
       drawn(&G::surface)},
      {"/geometry/driver_position",
       {"driver", "xyz"},
       "m",
       "centre of each driver",
       member(&R::driver_position_m)},
      {"/geometry/driver_axis",
       {"driver", "xyz"},
       "1",
       "unit vector along which each driver faces",
       member(&R::driver_axis)},
      {"/geometry/driver_radius",
       {"driver"},
       "m",
       "radius of each driver's moving piston",
       member(&R::driver_radius_m)},
      {"/geometry/ear_position",
       {"seat", "ear", "xyz"},
       "m",
       "position of each ear",
       member(&R::ear_position_m)},
      {"/geometry/mark_position", {"mark", "xyz"}, "m", "position of each mark", member(&R::mark_position_m)},

      {"/paths/length",
       {"seat", "ear", "driver"},
       "m",
       "shortest path from driver to ear around obstacles",
       member(&R::path_length_m)},
      {"/paths/arrival",
       {"seat", "ear", "driver"},
       "s",
       "travel time of the shortest path",
       member(&R::arrival_s)},
      {"/paths/direct",
       {"seat", "ear", "driver"},
       "1",
       "1 where the straight line is free, 0 where it is blocked",
       member(&R::direct)},
      {"/paths/angle",
       {"seat", "driver", "direction"},
       "degree",
       "direction of each driver from each seat",
       member(&R::angle_deg)},

      {"/field/method",
       {},
       "",
       "field solver: joined, wave, images, or free without a cabin",
       member(&R::field)},
      {"/field/transfer",
       {"driver", "seat", "ear", "frequency", "complex"},
       "Pa s m-3",
       "ear pressure per unit volume velocity",
       member(&R::transfer_pa_s_m3)},
      {"/field/join_coherence",
       {"driver", "seat", "ear"},
       "1",
       "coherence of wave field and image method over the octave in which they are joined, 0 to 1",
       member(&R::join_coherence)},
      {"/field/join_mismatch",
       {"driver", "seat", "ear"},
       "dB",
       "level of the image method over that of the wave field in the octave in which they are joined",
       member(&R::join_mismatch_db)},
      {"/field/wave_top", {}, "Hz", "top frequency of the wave field", member(&R::wave_top_hz)},
      {"/field/wave_error",
       {},
       "1",
       "estimated error of the reduced-order model at the worst frequency: pressure error that 99.9 % of the "
       "nodes stay below, over the RMS pressure of all nodes, for the worst ear",
       member(&R::wave_error)},
      {"/field/wave_unknowns",
       {},
       "1",
       "degrees of freedom of the wave field",
       member(&R::wave_degrees_of_freedom)},
      {"/field/wave_columns",
       {},
       "1",
       "basis vectors of the reduced-order model",
       member(&R::wave_basis_vectors)},
      {"/field/mode_frequency",
       {"mode_index"},
       "Hz",
       "modes of the cabin with rigid walls, up to 250 Hz",
       member(&R::mode_frequency_hz)},
      {"/field/mode_damped",
       {"mode_index"},
       "Hz",
       "the same modes with the materials of the scene",
       member(&R::mode_damped_hz)},
      {"/field/mode_q",
       {"mode_index"},
       "1",
       "quality factor Q of the modes with the materials of the scene",
       member(&R::mode_q)},
      {"/field/mode_along",
       {"mode_index", "xyz"},
       "1",
       "shares of x, y and z in each mode's kinetic energy",
       member(&R::mode_along)},
      {"/field/mode_ear_level",
       {"mode_index", "seat", "ear"},
       "1",
       "pressure of each mode at each ear over the largest in the cabin",
       member(&R::mode_ear_level)},

      {"/source/terminal_voltage",
       {},
       "V",
       "RMS voltage at the terminals for a full-scale sine, before gain",
       member(&R::terminal_voltage_v)},
      {"/source/volume_velocity",
       {"driver", "frequency", "complex"},
       "m3 s-1 V-1",
       "volume velocity per terminal voltage",
       member(&R::volume_velocity_m3_s)},
      {"/source/excursion",
       {"driver", "frequency", "complex"},
       "m V-1",
       "peak excursion per RMS terminal voltage",
       member(&R::excursion_m)},
      {"/source/impedance",
       {"driver", "frequency", "complex"},
       "ohm",
       "electrical impedance",
       member(&R::impedance_ohm)},

      {"/settings/drives",
       {"channel", "driver"},
       "1",
       "1 where the channel feeds the driver",
       member(&R::drives)},
      {"/settings/delay", {"preset", "channel"}, "s", "delay set in the processor", member(&R::delay_s)},
      {"/settings/gain", {"preset", "channel"}, "dB", "gain as set", member(&R::gain_db)},
      {"/settings/mute", {"preset", "channel"}, "1", "1 where the channel is muted", member(&R::mute)},

      {"/response/channel", responses, "Pa", "RMS pressure at the ear from one channel",
       member(&R::channel_pa)},
      {"/response/signal", signals, "Pa", "RMS pressure at the ear from all channels together",
       member(&R::signal_pa)},

      {"/map/point", {"map_point_index", "xyz"}, "m", "points of the maps", mapped(&M::point_m)},
      {"/map/triangle",
       {"map_triangle_index", "corner"},
       "1",
       "points of each triangle of the maps",
       mapped(&M::triangle)},
      {"/map/triangle_surface",
       {"map_triangle_index"},
       "1",
       "index into /map_surface",
       mapped(&M::triangle_surface)},
      {"/map/of_driver",
       {"driver", "map_frequency", "map_point_index", "complex"},
       "Pa",
       "RMS pressure from one driver alone at the terminal voltage",
       mapped(&M::driver_pa)},
      {"/map/of_channel",
       {"channel", "map_frequency", "map_point_index", "complex"},
       "Pa",
       "RMS pressure from one channel, preset as_drawn",
       mapped(&M::channel_pa)},

      {"/paths/reflection/seat",
       {"reflection_index"},
       "1",
       "index into /seat",
       of_reflections([](const ReflectionRow& r) { return r.seat; })},
      {"/paths/reflection/ear",
       {"reflection_index"},
       "1",
       "index into /ear",
       of_reflections([](const ReflectionRow& r) { return r.ear; })},
      {"/paths/reflection/driver",
       {"reflection_index"},
       "1",
       "index into /driver",
       of_reflections([](const ReflectionRow& r) { return r.driver; })},
      {"/paths/reflection/order",
       {"reflection_index"},
       "1",
       "number of reflecting surfaces",
       of_reflections([](const ReflectionRow& r) { return r.order; })},
      {"/paths/reflection/surfaces",
       {"reflection_index"},
       "",
       "reflecting surfaces in order",
       of_reflections([](const ReflectionRow& r) { return r.surfaces; })},
      {"/paths/reflection/length",
       {"reflection_index"},
       "m",
       "length of the path",
       of_reflections([](const ReflectionRow& r) { return r.length_m; })},
      {"/paths/reflection/arrival",
       {"reflection_index"},
       "s",
       "arrival time",
       of_reflections([](const ReflectionRow& r) { return r.arrival_s; })},
      {"/paths/reflection/level",
       {"reflection_index"},
       "dB",
       "level relative to the direct sound at 1 kHz",
       of_reflections([](const ReflectionRow& r) { return r.level_db; })},
      {"/paths/reflection/first_notch",
       {"reflection_index"},
       "Hz",
       "lowest frequency at which it is in opposite phase to the direct sound, 0 without one",
       of_reflections([](const ReflectionRow& r) { return r.first_notch_hz; })},
      {"/paths/notch/channel", {"notch_index"}, "1", "index into /channel", of_notches([](const NotchRow& r) {
         return r.channel;
       })},
      {"/paths/notch/seat", {"notch_index"}, "1", "index into /seat", of_notches([](const NotchRow& r) {
         return r.seat;
       })},
      {"/paths/notch/ear", {"notch_index"}, "1", "index into /ear", of_notches([](const NotchRow& r) {
         return r.ear;
       })},
      {"/paths/notch/driver",
       {"notch_index"},
       "1",
       "index into /driver of the reflection",
       of_notches([](const NotchRow& r) { return r.driver; })},
      {"/paths/notch/frequency",
       {"notch_index"},
       "Hz",
       "frequency of the notch, preset as_drawn",
       of_notches([](const NotchRow& r) { return r.frequency_hz; })},
      {"/paths/notch/depth",
       {"notch_index"},
       "dB",
       "level relative to the mean of the surrounding octave",
       of_notches([](const NotchRow& r) { return r.depth_db; })},
      {"/paths/notch/surfaces",
       {"notch_index"},
       "",
       "surfaces of the reflection that causes it, empty where no single one does",
       of_notches([](const NotchRow& r) { return r.surfaces; })},
      {"/paths/notch/extra",
       {"notch_index"},
       "m",
       "path difference of that reflection to the direct sound",
       of_notches([](const NotchRow& r) { return r.extra_m; })},

      {"/impulse_time", {"impulse_time"}, "s", "time from emission", member(&R::impulse_time_s)},
      {"/field/impulse",
       {"driver", "seat", "ear", "impulse_time"},
       "Pa m-3",
       "ear pressure after an impulse of unit volume, band-limited",
       member(&R::impulse_pa_m3)},
      {"/listening/interaural_known",
       {"preset", "seat"},
       "1",
       "1 where a mono signal has a side: both ears hear it from 200 Hz to 1.5 kHz",
       member(&R::interaural_known)},
      {"/listening/interaural_time",
       {"preset", "seat"},
       "s",
       "time difference of the ears to a mono signal, 200 Hz to 1.5 kHz, right ear first where above 0",
       member(&R::interaural_time_s)},
      {"/listening/interaural_coherence",
       {"preset", "seat"},
       "1",
       "coherence of the ears at that difference, 0 to 1",
       member(&R::interaural_coherence)},
      {"/listening/interaural_level",
       {"preset", "seat"},
       "dB",
       "level difference of the ears to a mono signal, 1.5 to 8 kHz, right louder where above 0",
       member(&R::interaural_level_db)},
      {"/listening/side_angle",
       {"preset", "seat"},
       "degree",
       "angle to the side from which a mono signal appears to come, right above 0",
       member(&R::side_angle_deg)},
      {"/listening/channel_interaural_known",
       {"channel", "seat"},
       "1",
       "1 where a channel alone has a side: it plays and both ears hear it from 200 Hz to 1.5 kHz",
       member(&R::channel_interaural_known)},
      {"/listening/channel_interaural_time",
       {"channel", "seat"},
       "s",
       "time difference of the ears to a channel alone, 200 Hz to 1.5 kHz, right ear first where above 0",
       member(&R::channel_interaural_time_s)},
      {"/listening/channel_interaural_coherence",
       {"channel", "seat"},
       "1",
       "coherence of the ears at that difference, 0 to 1",
       member(&R::channel_interaural_coherence)},
      {"/listening/channel_interaural_level",
       {"channel", "seat"},
       "dB",
       "level difference of the ears to a channel alone, 1.5 to 8 kHz, right louder where above 0",
       member(&R::channel_interaural_level_db)},
      {"/listening/channel_side_angle",
       {"channel", "seat"},
       "degree",
       "angle to the side from which a channel alone appears to come, right above 0",
       member(&R::channel_side_angle_deg)},

      {"/system/feed_amplifier",
       {"channel"},
       "1",
       "index into /amplifier, -1 where no output drives the channel",
       of_feeds([](const FeedRow& f) { return f.amplifier; })},
      {"/system/feed_output",
       {"channel"},
       "1",
       "channel of that amplifier, from 1, 0 where none",
       of_feeds([](const FeedRow& f) { return f.output; })},
      {"/system/feed_bridged_with",
       {"channel"},
       "1",
       "the second channel of a bridged pair, 0 where not bridged",
       of_feeds([](const FeedRow& f) { return f.bridged_with; })},
      {"/system/feed_processor_output",
       {"channel"},
       "1",
       "output of the processor, from 1, 0 where none",
       of_feeds([](const FeedRow& f) { return f.processor_output; })},
      {"/system/feed_proposed",
       {"channel"},
       "1",
       "1 where the scene leaves the output open",
       of_feeds([](const FeedRow& f) { return f.proposed ? 1 : 0; })},
      {"/system/feed_reason", {"channel"}, "", "reason for that output", of_feeds([](const FeedRow& f) {
         return f.why;
       })},
      {"/system/least_load",
       {"channel"},
       "ohm",
       "smallest modulus of the load in the channel's band",
       of_feeds([](const FeedRow& f) { return f.load_ohm; })},
      {"/system/least_load_frequency",
       {"channel"},
       "Hz",
       "frequency of the smallest load",
       of_feeds([](const FeedRow& f) { return f.load_hz; })},
      {"/system/sine_power",
       {"channel"},
       "W",
       "largest power of a sine in the channel's band",
       of_feeds([](const FeedRow& f) { return f.power_w; })},
      {"/system/power_of_use",
       {"channel"},
       "W",
       "power that the drivers can use for the requested level",
       of_feeds([](const FeedRow& f) { return f.wanted_w; })},
      {"/system/wiring/channel",
       {"wiring_index"},
       "1",
       "index into /channel",
       of_ways([](const WiringRow& w) { return w.channel; })},
      {"/system/wiring/words",
       {"wiring_index"},
       "",
       "wiring of coils and drivers",
       of_ways([](const WiringRow& w) { return w.words; })},
      {"/system/wiring/nominal_load",
       {"wiring_index"},
       "ohm",
       "nominal load, 0 where a model gives none",
       of_ways([](const WiringRow& w) { return w.nominal_ohm; })},
      {"/system/wiring/least_load",
       {"wiring_index"},
       "ohm",
       "smallest modulus in the channel's band",
       of_ways([](const WiringRow& w) { return w.least_ohm; })},
      {"/system/wiring/driven",
       {"wiring_index"},
       "1",
       "1 where the channel's amplifier drives it",
       of_ways([](const WiringRow& w) { return w.driven ? 1 : 0; })},
      {"/system/wiring/power_each",
       {"wiring_index"},
       "W",
       "power to each driver into the least load, 0 where not driven",
       of_ways([](const WiringRow& w) { return w.power_each_w; })},
      {"/system/wiring/chosen",
       {"wiring_index"},
       "1",
       "1 for the wiring of the scene",
       of_ways([](const WiringRow& w) { return w.chosen ? 1 : 0; })},
      {"/system/wiring/best",
       {"wiring_index"},
       "1",
       "1 for the best of the channel",
       of_ways([](const WiringRow& w) { return w.best ? 1 : 0; })},
      {"/system/amplifier_current",
       {"load_case", "amplifier"},
       "A",
       "current into each amplifier",
       planned(&SystemReport::amplifier_a)},
      {"/system/amplifier_voltage",
       {"load_case", "amplifier"},
       "V",
       "voltage at each amplifier",
       planned(&SystemReport::amplifier_v)},
      {"/system/battery_current",
       {"load_case", "battery"},
       "A",
       "current out of each battery before any protection opens",
       planned(&SystemReport::battery_a)},
      {"/system/battery_opens",
       {"load_case", "battery"},
       "1",
       "1 where its protection circuit opens",
       planned(&SystemReport::battery_opens)},
      {"/system/load_case_settled",
       {"load_case"},
       "1",
       "1 where the supply has a steady state; 0 where a charger drops out and comes back: values are means",
       planned(&SystemReport::load_case_settled)},
      {"/system/cable_current",
       {"load_case", "cable"},
       "A",
       "current along each cable",
       planned(&SystemReport::cable_a)},
      {"/system/cable_drop",
       {"load_case", "cable"},
       "V",
       "voltage drop of each cable, out and back",
       planned(&SystemReport::cable_drop_v)},
      {"/system/cable_temperature",
       {"cable"},
       "degC",
       "copper temperature with music, the higher of engine running and off",
       planned(&SystemReport::cable_c)},
      {"/system/cable_limit",
       {"cable"},
       "A",
       "current rating of its insulation",
       planned(&SystemReport::cable_limit_a)},
      {"/system/cable_least_metric",
       {"cable"},
       "",
       "thinnest metric conductor for 3 % drop, empty where none is thick enough",
       planned(&SystemReport::cable_least_metric)},
      {"/system/cable_least_gauge",
       {"cable"},
       "",
       "thinnest gauge for 3 % drop, empty where none is thick enough",
       planned(&SystemReport::cable_least_gauge)},
      {"/system/cable_fuse",
       {"cable"},
       "A",
       "fuse that protects the cable and carries its load, 0 where none does both",
       planned(&SystemReport::cable_fuse_a)},
      {"/system/playing_time",
       {},
       "s",
       "playing time of music with the engine off, to the allowed depth of discharge",
       known_above_0(&SystemReport::playing_hours, 3600)},
      {"/system/load_mass", {}, "kg", "mass of the load", known_above_0(&SystemReport::total_kg, 1)},
      {"/system/front_axle_mass",
       {},
       "kg",
       "part of it on the front axle",
       known_above_0(&SystemReport::front_kg, 1)},
      {"/system/rear_axle_mass",
       {},
       "kg",
       "part of it on the rear axle",
       known_above_0(&SystemReport::rear_kg, 1)},
      {"/limits/sine_level",
       {"preset", "channel", "seat", "frequency"},
       "dB",
       "level re 20 uPa of a sine from one channel at its first limit, -200 where it is silent",
       limited(&LimitReport::sine_db)},
      {"/limits/sine_kind",
       {"preset", "channel", "frequency"},
       "1",
       "index into /limit_kind of that limit",
       limited(&LimitReport::sine_kind)},
      {"/limits/music_level",
       {"preset", "channel", "seat", "third_octave"},
       "dB",
       "level re 20 uPa of music from one channel at its first limit, -200 where it is silent",
       limited(&LimitReport::music_db)},
      {"/limits/music_kind",
       {"preset", "channel"},
       "1",
       "index into /limit_kind of that limit",
       limited(&LimitReport::music_kind)},
      {"/limits/system_sine_level",
       {"preset", "seat", "third_octave"},
       "dB",
       "level re 20 uPa of a sine from all channels at the first limit of any, mean of the band",
       limited(&LimitReport::system_sine_db)},
      {"/limits/system_music_level",
       {"preset", "seat", "third_octave"},
       "dB",
       "level re 20 uPa of music from all channels at the first limit of any",
       limited(&LimitReport::system_music_db)},
      {"/limits/system_music_a",
       {"preset", "seat"},
       "dB",
       "A-weighted level of that music",
       limited(&LimitReport::system_music_a_db)},
      {"/limits/system_music_c",
       {"preset", "seat"},
       "dB",
       "C-weighted level of that music",
       limited(&LimitReport::system_music_c_db)},
      {"/limits/system_music_kind",
       {"preset"},
       "1",
       "index into /limit_kind of what limits that music",
       limited(&LimitReport::system_music_kind)},
      {"/limits/system_music_channel",
       {"preset"},
       "1",
       "index into /channel of the one that limits it, -1 where none does",
       limited(&LimitReport::system_music_channel)},
      {"/limits/exposure",
       {"preset", "seat"},
       "h",
       "allowed time a day at that A-weighted level by NIOSH, at most 24",
       limited(&LimitReport::hours)},

      {"/checks/rule", {"check_index"}, "", "the rule", of_checks([](const Check& c) {
         return std::string(name_of(c.rule));
       })},
      {"/checks/subject", {"check_index"}, "", "what was checked", of_checks([](const Check& c) {
         return c.subject;
       })},
      {"/checks/outcome", {"check_index"}, "", "met, caution or violated", of_checks([](const Check& c) {
         return std::string(name_of(c.outcome));
       })},
      {"/checks/has_margin",
       {"check_index"},
       "1",
       "1 where the rule has a margin",
       of_checks([](const Check& c) { return has_length(c) ? 1 : 0; })},
      {"/checks/margin",
       {"check_index"},
       "m",
       "margin, 0 where the rule has none in metres",
       of_checks([](const Check& c) { return has_length(c) ? c.margin->value : 0.0; })},
      {"/checks/other_margin",
       {"check_index"},
       "1",
       "margin in the unit of other_unit, 0 where the rule has none but in metres",
       of_checks([](const Check& c) { return has_other_margin(c) ? c.margin->value : 0.0; })},
      {"/checks/other_unit",
       {"check_index"},
       "",
       "unit of other_margin, empty where there is none",
       of_checks(
           [](const Check& c) { return std::string(has_other_margin(c) ? symbol_of(c.margin->unit) : ""); })},
      {"/checks/words", {"check_index"}, "", "a sentence for the installer", of_checks([](const Check& c) {
         return c.words;
       })},
      {"/checks/note", {"note_index"}, "", "adjustments and notes of the computation", member(&R::notes)},
      {"/checks/warning", {"warning_index"}, "", "allowed, but worth checking", member(&R::warnings)},
  };
}

}  // namespace cabinfield
