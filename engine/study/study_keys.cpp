#include "study/study_keys.h"

#include "input/scene_keys.h"
#include "listening/measure_kinds.h"
#include "study/judge_file.h"

namespace cabinfield {
namespace {

ValueKind<Located<std::string>> placed_name() { return located(name()); }
ValueKind<std::vector<Located<std::string>>> names() { return list_of(located(name()), 1, 200); }
ValueKind<std::vector<Located<std::string>>> paths() { return list_of(located(text()), 1, 200); }

ValueKind<Node> raw_mapping(const std::string& words) {
  ValueKind<Node> kind =
      anything(words).read_by([words](const Node& node, Reading& reading) -> std::optional<Node> {
        if (node.kind() == NodeKind::mapping) return node;
        reading.wrong_kind(node, words);
        return std::nullopt;
      });
  kind.forms = {NodeKind::mapping};
  return kind;
}

ValueKind<Node> raw_list(const std::string& words) {
  ValueKind<Node> kind =
      anything(words).read_by([words](const Node& node, Reading& reading) -> std::optional<Node> {
        if (node.kind() == NodeKind::sequence) return node;
        reading.wrong_kind(node, words);
        return std::nullopt;
      });
  kind.forms = {NodeKind::sequence};
  return kind;
}

ValueKind<ListedNodes> listed_nodes(const std::string& words) {
  return either(list_of(anything(words), 1, 100000), named(anything(words)));
}

ValueKind<AsDrawn> as_drawn() { return choice<AsDrawn>({{"as_drawn", AsDrawn::as_drawn}}); }

ValueKind<std::vector<double>> band() { return list_of(quantity(Quantity::frequency, {1, 24000}), 2, 2); }

const Keys<ChangesSpec>& changes_keys() {
  using Spec = ChangesSpec;
  static const auto keys =
      Keys<Spec>()
          .add("set", &Spec::set, raw_mapping("a mapping from paths of settings to values"),
               "settings of the scene by path, e.g. channels.sub.gain")
          .add("add", &Spec::add, raw_mapping("a mapping from paths to entries"),
               "new entries by path, e.g. channels.centre, or further entries of a list")
          .add("remove", &Spec::remove, paths(), "paths of settings and entries to remove")
          .add("add_blocks", &Spec::add_blocks, raw_list("a list of blocks as in a scene"),
               "blocks that you build for this choice, such as a kick wedge")
          .add("remove_blocks", &Spec::remove_blocks, names(), "blocks that you take out for this choice")
          .add("mute", &Spec::mute, names(), "channels and groups that are silent");
  return keys;
}

const Keys<PlaceSpec>& place_keys() {
  using Spec = PlaceSpec;
  static const auto keys =
      Keys<Spec>()
          .add_part(&Spec::driver, driver_keys(), {"mirror_of"})
          .add("without", &Spec::without, names(), "keys of the driver in the scene that do not apply here")
          .add_part(&Spec::changes, changes_keys());
  return keys;
}

/// Keeps the unread mapping beside the spec that was read from it.
ValueKind<PlaceSpec> location(const std::string& noun) {
  const ValueKind<PlaceSpec> plain = mapping(place_keys(), noun);
  return plain.read_by([plain](const Node& node, Reading& reading) {
    std::optional<PlaceSpec> spec = plain.read(node, reading);
    if (spec) spec->node = node;
    return spec;
  });
}

const Keys<SurfaceGridSpec>& surface_grid_keys() {
  using Spec = SurfaceGridSpec;
  static const auto keys = Keys<Spec>()
                               .add("over", &Spec::over, located(surface_name()), "the surface")
                               .required()
                               .add("spacing", &Spec::spacing_m, quantity(Quantity::length, {0.005, 2}),
                                    "distance between neighbouring points")
                               .required()
                               .add("margin", &Spec::margin_m, quantity(Quantity::length, {0, 1}),
                                    "distance kept from the surface's edges; the cone's radius if absent");
  return keys;
}

const Keys<LineSpec>& line_keys() {
  using Spec = LineSpec;
  static const auto keys =
      Keys<Spec>()
          .add("from", &Spec::from, point(), "first position")
          .required()
          .add("to", &Spec::to, point(), "last position")
          .required()
          .add("count", &Spec::count, integer(2, 100000), "number of positions, both ends included")
          .add("spacing", &Spec::spacing_m, quantity(Quantity::length, {0.001, 10}),
               "distance between positions, starting at the first; instead of count")
          .add("surface", &Spec::surface, located(surface_name()),
               "each position is flush with this surface");
  return keys;
}

const Keys<ShiftSpec>& shift_keys() {
  using Spec = ShiftSpec;
  static const auto keys = Keys<Spec>()
                               .add("blocks", &Spec::blocks, names(), "")
                               .add("seats", &Spec::seats, names(), "seats whose heads move")
                               .add("drivers", &Spec::drivers, names(), "")
                               .add("boxes", &Spec::boxes, names(), "");
  return keys;
}

const Keys<MoveSpec>& move_keys() {
  using Spec = MoveSpec;
  static const auto keys =
      Keys<Spec>()
          .add("name", &Spec::name, name(), "of this choice in tables; the name of what moves if absent")
          .add("driver", &Spec::driver, placed_name(),
               "the driver that moves; a driver that mirrors it moves too")
          .add("pair", &Spec::pair, placed_name(),
               "a driver drawn separately, which mirrors it in this study")
          .add("box", &Spec::box, placed_name(), "the box, one of boxes:, that loadings change")
          .add("places", &Spec::places, named(either(as_drawn(), location("place"))),
               "positions by name, each with everything that changes with it; as_drawn is the position in "
               "the scene")
          .add("grid", &Spec::grid, mapping(surface_grid_keys(), "grid"), "positions all over a surface")
          .add("line", &Spec::line, mapping(line_keys(), "line"), "positions along a straight line")
          .add("with", &Spec::with, location("with"), "what changes with every position of a grid or line")
          .add("aims", &Spec::aims, named(anything("an aim as in a scene, or as_drawn")), "aims by name")
          .add("loadings", &Spec::loadings, named(anything("a loading as in a scene, or as_drawn")),
               "loadings of the driver, or volumes of the box, by name")
          .add("shift", &Spec::shift, mapping(shift_keys(), "shift"), "parts that move together")
          .add("by", &Spec::by, listed_nodes("three bare numbers [x, y, z] in the scene's length unit"),
               "how far they move: a list, or values by name");
  return keys;
}

const Keys<VarySpec>& vary_keys() {
  using Spec = VarySpec;
  static const auto keys =
      Keys<Spec>()
          .add("name", &Spec::name, name(), "of this choice in tables; the path if absent")
          .add("set", &Spec::set, either(located(text()), list_of(located(text()), 1, 100)),
               "path of a setting, or of several that get the same value")
          .add("to", &Spec::to, listed_nodes("a value of that setting, or as_drawn"),
               "its values: a list, or values by name")
          .add("mute", &Spec::mute, names(), "channels and groups: once as drawn, once silent")
          .add("choices", &Spec::choices, named(either(as_drawn(), mapping(changes_keys(), "choice"))),
               "several changes together, by name");
  return keys;
}

const Keys<CommonLevelSpec>& common_level_keys() {
  using Spec = CommonLevelSpec;
  static const auto keys =
      Keys<Spec>()
          .add("band", &Spec::band_hz, band(), "[from, to] in which the level is measured")
          .required()
          .add("level", &Spec::level_db, quantity(Quantity::sound_level, {40, 160}),
               "the level of every variant; that of the scene as drawn if absent")
          .add("seats", &Spec::seats, names(), "seats over which it is averaged; all if absent");
  return keys;
}

const Keys<BeforeJudgingSpec>& before_judging_keys() {
  using Spec = BeforeJudgingSpec;
  static const auto keys =
      Keys<Spec>()
          .add("line_up_arrivals", &Spec::line_up_arrivals, placed_name(),
               "sets delays so that all channels arrive together at this seat")
          .add("set_levels", &Spec::set_levels, mapping(common_level_keys(), "set_levels"),
               "sets every variant to the same level");
  return keys;
}

const Keys<TargetSpec>& target_keys() {
  using Spec = TargetSpec;
  static const auto keys =
      Keys<Spec>()
          .add("tilt", &Spec::tilt_db_per_octave, quantity(Quantity::level, {-12, 12}),
               "slope per octave; below 0 it falls towards high frequencies")
          .add("levels", &Spec::levels,
               table_over(Quantity::frequency, {5, 24000}, quantity(Quantity::level, {-60, 60})),
               "points of the target, joined by straight lines over the logarithm of frequency");
  return keys;
}

ValueKind<std::string> measure_name() {
  std::vector<std::pair<std::string, std::string>> known;
  for (const std::string& one : measure_names()) known.emplace_back(one, one);
  return choice_of<std::string>(known);
}

const Keys<JudgeSpec>& judge_keys() {
  using Spec = JudgeSpec;
  const auto limit = anything("a value of this measure with its unit");
  static const auto keys =
      Keys<Spec>()
          .add("measure", &Spec::measure, measure_name(), "what is measured")
          .required()
          .add("name", &Spec::name, name(), "heading of its column in tables; the measure if absent")
          .add("seats", &Spec::seats,
               either(choice<SeatsWord>({{"all", SeatsWord::all}}),
                      either(list_of(located(name()), 1, 64), named(number({0, 100})))),
               "all, a list of seats, or a weight for each seat; the seats of brief: listen if absent")
          .add("over_seats", &Spec::worst_seat, choice<bool>({{"mean", false}, {"worst", true}}),
               "how the seats become one number; mean if absent")
          .add("band", &Spec::band_hz, band(), "[from, to]")
          .add("channels", &Spec::channels, names(), "channels and groups whose share is measured")
          .add("pair", &Spec::pair, list_of(located(name()), 2, 2), "[left channel, right channel]")
          .add("signal", &Spec::signal, choice<int>({{"left", 0}, {"right", 1}, {"both", 2}}),
               "input that plays; both with the same signal if absent")
          .add("target", &Spec::target, mapping(target_keys(), "target"),
               "target of evenness; flat if absent")
          .add("weight", &Spec::weight, number({0, 1000}), "points per unit of the measure; 1 if absent")
          .add("aim", &Spec::aim, limit, "the best value, if it is not the smallest or largest")
          .add("at_least", &Spec::at_least, limit,
               "lower limit; variants that break a limit rank behind all that keep theirs")
          .add("at_most", &Spec::at_most, limit,
               "upper limit; variants that break a limit rank behind all that keep theirs");
  return keys;
}

const Keys<EarsUncertaintySpec>& ears_uncertainty_keys() {
  using Spec = EarsUncertaintySpec;
  const auto length = quantity(Quantity::length, {0, 0.5});
  static const auto keys = Keys<Spec>()
                               .add("along", &Spec::along_m, length, "fore and aft; 30 mm if absent")
                               .add("across", &Spec::across_m, length, "to the sides; 0 mm if absent")
                               .add("up", &Spec::up_m, length, "up and down; 40 mm if absent");
  return keys;
}

const Keys<UncertaintySpec>& uncertainty_keys() {
  using Spec = UncertaintySpec;
  const auto part = quantity(Quantity::fraction, {0, 0.6});
  static const auto keys =
      Keys<Spec>()
          .add("draws", &Spec::samples, integer(0, 1000000), "number of Monte Carlo samples; 200 if absent")
          .add("seed", &Spec::seed, integer(0, 1000000000), "seed of the random numbers; 1 if absent")
          .add("tape", &Spec::tape_m, quantity(Quantity::length, {0, 0.5}),
               "plus or minus, for each coordinate of each driver; 10 mm if absent")
          .add("ears", &Spec::ears, mapping(ears_uncertainty_keys(), "ears"),
               "plus or minus, for the position of each head")
          .add("cabin_size", &Spec::cabin_size_m, quantity(Quantity::length, {0, 0.5}),
               "plus or minus, for length, width and height; 0 mm if absent, because each sample then needs "
               "its own cabin solution")
          .add("driver_resonance", &Spec::driver_resonance, part, "plus or minus, for Fs; 15 % if absent")
          .add("driver_q", &Spec::driver_q, part, "plus or minus, for Qes and Qms; 15 % if absent")
          .add("driver_vas", &Spec::driver_vas, part, "plus or minus, for Vas; 20 % if absent")
          .add("driver_level", &Spec::driver_level_db, quantity(Quantity::level, {0, 20}),
               "plus or minus, for the level of each driver; 1 dB if absent")
          .add("box_volume", &Spec::box_volume, part,
               "plus or minus, for the volume behind each driver; 5 % if absent")
          .add("material_impedance", &Spec::material_impedance, number({1, 20}),
               "factor, up or down, for each material's impedance; 1.5 if absent")
          .add("temperature", &Spec::temperature_k,
               list_of(quantity(Quantity::temperature, {253.15, 323.15}), 2, 2),
               "[from, to] of the air; 0 to 35 degC if absent");
  return keys;
}

const Keys<PlacementMapSpec>& placement_map_keys() {
  using Spec = PlacementMapSpec;
  static const auto keys =
      Keys<Spec>()
          .add("driver", &Spec::driver, placed_name(), "the driver whose position is mapped")
          .required()
          .add_part(&Spec::grid, surface_grid_keys())
          .add("with", &Spec::with, location("with"), "what changes with every point")
          .add("judge_by", &Spec::judge_by, either(located(name()), mapping(judge_keys(), "measure")),
               "the name of a measure under judge, or a measure of its own")
          .required();
  return keys;
}

}  // namespace

const Keys<StudySpec>& study_keys() {
  using Spec = StudySpec;
  static const auto keys =
      Keys<Spec>()
          .add("cabinfield_study", &Spec::version, integer(1, 1), "version of the study format")
          .required()
          .add("title", &Spec::title, text(), "")
          .add("scene", &Spec::scene, text(), "scene file, relative to the study's folder")
          .required()
          .add("preset", &Spec::preset, placed_name(),
               "preset of the scene that is judged; as_drawn if absent")
          .add("move", &Spec::move, list_of(mapping(move_keys(), "move"), 0, 50),
               "choices of position, aim or loading")
          .add("vary", &Spec::vary, list_of(mapping(vary_keys(), "vary"), 0, 50), "choices of settings")
          .add("combine", &Spec::combine,
               choice<Combine>({{"grid", Combine::grid}, {"listed", Combine::listed}}),
               "grid: every combination; listed: only those under combinations; grid if absent")
          .add(
              "combinations", &Spec::combinations,
              list_of(raw_mapping("a mapping from the names of moves and varys to their choices"), 1, 100000),
              "choices by name or by number from 1; a move or vary left out takes its first choice")
          .add("before_judging", &Spec::before_judging,
               either(choice<DoNothing>({{"nothing", DoNothing::nothing}}),
                      mapping(before_judging_keys(), "before_judging")),
               "adjustments to each variant before it is judged; nothing if absent")
          .add("judge", &Spec::judge, list_of(mapping(judge_keys(), "measure"), 1, 100),
               "measures that rank the variants")
          .add("doubt", &Spec::uncertainty, mapping(uncertainty_keys(), "doubt"),
               "what is uncertain; nothing if absent")
          .add("paint", &Spec::placement_map, mapping(placement_map_keys(), "paint"),
               "a placement map: a measure with one driver at each point of a surface")
          .add("skip_impossible", &Spec::skip_impossible, yes_or_no(),
               "lists variants that cannot be built and leaves them out, instead of stopping")
          .add("most_variants", &Spec::most_variants, integer(1, 2000000000),
               "most variants without --yes on the command line; 20000 if absent");
  return keys;
}

std::string study_key_reference() {
  const std::pair<const char*, std::vector<KeyLine>> sections[] = {
      {"study", study_keys().lines()},
      {"study: a move", move_keys().lines()},
      {"study: a move: a place", place_keys().lines()},
      {"study: a move: grid", surface_grid_keys().lines()},
      {"study: a move: line", line_keys().lines()},
      {"study: a move: shift", shift_keys().lines()},
      {"study: a vary", vary_keys().lines()},
      {"study: a vary: a choice", changes_keys().lines()},
      {"study: before_judging", before_judging_keys().lines()},
      {"study: before_judging: set_levels", common_level_keys().lines()},
      {"study: a measure", judge_keys().lines()},
      {"study: a measure: target", target_keys().lines()},
      {"study: doubt", uncertainty_keys().lines()},
      {"study: doubt: ears", ears_uncertainty_keys().lines()},
      {"study: paint", placement_map_keys().lines()},
  };
  std::string reference;
  for (const auto& [head, lines] : sections)
    reference += std::string(reference.empty() ? "" : "\n") + head + "\n" + key_reference(lines);
  return reference;
}

}  // namespace cabinfield
