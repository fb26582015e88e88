#include "study/study_axes.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

#include "base/nearest_name.h"
#include "base/quoted.h"
#include "input/scene_keys.h"
#include "scene/build_steps.h"
#include "study/choices.h"
#include "study/surface_points.h"

namespace cabinfield {
namespace {

std::vector<std::string> names_in(const Node* section) {
  std::vector<std::string> names;
  if (section != nullptr)
    for (const Entry& entry : section->entries()) names.push_back(entry.key);
  return names;
}

/// True if the value is the default of an absent channel setting.
bool is_default(const std::string& path, const Node& value) {
  static constexpr std::pair<const char*, const char*> defaults[] = {
      {"polarity", "normal"}, {"mute", "no"}, {"mute", "false"}, {"gain", "0 dB"}, {"delay", "0 ms"}};
  const std::string key = path.substr(path.rfind('.') + 1);
  return (path.starts_with("channels.") || path.starts_with("groups.")) &&
         std::any_of(std::begin(defaults), std::end(defaults),
                     [&](const auto& one) { return key == one.first && value.text() == one.second; });
}

/// Makes the axes; each step adds its own faults.
struct Maker {
  const StudyGround& ground;
  Faults& faults;
  bool skip_impossible = false;

  bool known(const std::string& kind, const char* section, const Located<std::string>& name) const {
    const std::vector<std::string> names = names_in(ground.document.find(section));
    if (std::find(names.begin(), names.end(), name.value) != names.end()) return true;
    faults.add(name.location, build::unknown_name(kind, name.value, names));
    return false;
  }

  /// Reads the edited scene by its keys, so that faulty values are reported.
  void check(const std::vector<Edit>& edits) const {
    Faults own;
    const Node changed = edited(ground.document, edits, own);
    Reading reading{own, ground.length_unit_m};
    if (!own.any()) scene_keys().read(changed, reading);
    for (const Fault& fault : own.faults()) faults.add(fault);
  }

  /// A surface must be in the scene, or on a block that the edits add.
  void check_surface(const Located<std::string>& surface, const std::vector<Edit>& with) const {
    const Cabin* cabin = ground.scene.cabin.get();
    if (surface.value.empty() || cabin == nullptr || cabin->surface_index(surface.value) >= 0) return;
    const std::string block = surface.value.substr(0, surface.value.find('.'));
    for (const Edit& edit : with)
      for (const Node& item : edit.value.items())
        if (const Node* name = item.find("name"); name != nullptr && name->text() == block) return;
    for (const Edit& edit : with)
      if (edit.path.starts_with("boxes") || edit.path.starts_with("cabin.")) return;
    faults.add(surface.location, build::unknown_name("surface", surface.value, cabin->surfaces()));
  }

  /// Reports a position that is impossible in the cabin as drawn. If the edits may change the cabin, or
  /// impossible variants are skipped, the check is left to the build of the variant.
  void check_place(const DriverPoints& points, std::size_t point, const SourceLocation& location) const {
    const bool is_other_cabin = std::any_of(points.with.begin(), points.with.end(), changes_the_cabin);
    if (skip_impossible || is_other_cabin) return;
    const std::string wrong = position_problem(ground.scene, points.point[point], points.surface);
    if (!wrong.empty())
      faults.add(location,
                 fmt::format("driver '{}' at {} {}", points.driver, point_label(points.point[point]), wrong));
  }

  void add(StudyAxis& axis, Choice choice, bool is_present) const {
    if (is_present && !axis.present) axis.present = axis.choices.size();
    const bool repeated = std::any_of(axis.choices.begin(), axis.choices.end(),
                                      [&](const Choice& other) { return other.label == choice.label; });
    if (repeated)
      faults.add(axis.location,
                 fmt::format("'{}' has two choices named {}", axis.name, quoted(choice.label)));
    axis.choices.push_back(std::move(choice));
  }

  // --- Moves
  // ------------------------------------------------------------------------------------------------
  StudyAxis axis_of(const MoveSpec& move) const {
    StudyAxis axis;
    axis.location = move.location;
    axis.name = move.name;
    const std::string what = !move.driver.value.empty() ? move.driver.value
                             : !move.box.value.empty()  ? move.box.value
                                                        : "shift";
    if (axis.name.empty())
      axis.name = what + (move.has("aims") ? " aim" : move.has("loadings") ? " loading" : "");
    return axis;
  }

  std::optional<StudyAxis> make(const MoveSpec& move) const {
    constexpr const char* kinds[] = {"places", "grid", "line", "aims", "loadings", "shift"};
    const auto count =
        std::count_if(std::begin(kinds), std::end(kinds), [&](const char* key) { return move.has(key); });
    if (count != 1) {
      faults.add(move.location,
                 count == 0
                     ? "this move has nothing to choose from: give one of places, grid, line, aims, "
                       "loadings, shift"
                     : "a move has only one of places, grid, line, aims, loadings, shift: put the others in "
                       "moves of their own");
      return std::nullopt;
    }
    if (!move.sound()) return std::nullopt;
    const std::size_t before = faults.times_added();
    StudyAxis axis = axis_of(move);
    const bool of_driver = !move.has("shift") && !(move.has("loadings") && move.has("box"));
    if (of_driver && !move.has("driver")) {
      faults.add(move.location, "key 'driver' is missing: name the driver that moves");
      return std::nullopt;
    }
    if (of_driver && !known("driver", "drivers", move.driver)) return std::nullopt;
    if (move.has("with") && !move.has("grid") && !move.has("line"))
      faults.add(move.at("with"),
                 "'with' needs a grid or a line; with places, put the changes into each place");
    if (move.has("by") && !move.has("shift")) faults.add(move.at("by"), "'by' needs 'shift'");
    if (move.has("places")) places(move, axis);
    if (move.has("grid")) axis.points = points_over(move.driver, *move.grid, move.with, ground, faults);
    if (move.has("line")) axis.points = points_along(move);
    if (move.has("aims")) settings(move, move.aims, "drivers." + move.driver.value + ".aim", axis);
    if (move.has("loadings")) loadings(move, axis);
    if (move.has("shift")) shifts(move, axis);
    if (move.has("pair")) mirror(move, axis);
    if (faults.times_added() > before) return std::nullopt;
    if (axis.count() > 0) return axis;
    faults.add(move.location, fmt::format("'{}' has nothing to choose from", axis.name));
    return std::nullopt;
  }

  void places(const MoveSpec& move, StudyAxis& axis) const {
    for (const Named<PlaceChoice>& location : move.places) {
      if (location.value.index() == 0) {
        add(axis, {location.name, {}}, true);
        continue;
      }
      const PlaceSpec& spec = std::get<PlaceSpec>(location.value);
      Choice choice{location.name, edits_of(spec, move.driver.value, ground.document, ground.preset, faults)};
      check(choice.edits);
      if (const Node* surface = spec.node.find("surface"))
        check_surface({surface->text(), surface->location()}, choice.edits);
      check_named_place(spec, move.driver.value, choice.edits);
      add(axis, std::move(choice), false);
    }
  }

  void check_named_place(const PlaceSpec& spec, const std::string& driver,
                         const std::vector<Edit>& edits) const {
    if (!spec.driver.position) return;
    const Node* surface = spec.node.find("surface");
    const bool is_left = std::any_of(spec.without.begin(), spec.without.end(),
                                     [](const auto& key) { return key.value == "surface"; });
    DriverPoints here;
    here.driver = driver;
    here.point = {*spec.driver.position};
    here.with = edits;
    if (surface != nullptr)
      here.surface = surface->text();
    else if (!is_left)
      here.surface = setting_at(ground.document, "drivers." + driver + ".surface").text();
    check_place(here, 0, spec.node.find("position")->location());
  }

  void mirror(const MoveSpec& move, StudyAxis& axis) const {
    if (!known("driver", "drivers", move.pair)) return;
    const std::vector<Edit> edits =
        edits_to_mirror(move.pair.value, {move.driver.value, move.pair.location}, ground.document);
    check(edits);
    const auto put_before = [&](std::vector<Edit>& list) {
      list.insert(list.begin(), edits.begin(), edits.end());
    };
    if (axis.points) put_before(axis.points->with);
    // At the position as drawn the pair stays as drawn too.
    for (Choice& choice : axis.choices)
      if (!choice.edits.empty()) put_before(choice.edits);
  }

  std::optional<DriverPoints> points_along(const MoveSpec& move) const {
    const LineSpec& line = *move.line;
    if (line.count.has_value() == line.spacing_m.has_value()) {
      faults.add(line.location, "a line needs either a count of positions or a spacing");
      return std::nullopt;
    }
    const double length_m = (line.to - line.from).norm();
    const double spacing_m = line.spacing_m ? *line.spacing_m : length_m / (*line.count - 1);
    if (!(length_m > 0)) {
      faults.add(line.at("to"), "the line starts and ends at the same point");
      return std::nullopt;
    }
    DriverPoints points;
    points.driver = move.driver.value;
    points.surface = line.surface.value;
    points.length_unit_m = ground.length_unit_m;
    points.location = line.location;
    if (move.with)
      points.with = edits_of(*move.with, move.driver.value, ground.document, ground.preset, faults);
    const auto steps =
        line.count ? *line.count - 1 : static_cast<int>(std::floor(length_m / spacing_m + 1e-9));
    const Vector3 along = (line.to - line.from) / length_m;
    for (int i = 0; i <= steps; ++i) {
      const bool is_end = line.count && i == steps;
      points.point.push_back(is_end ? line.to : Vector3(line.from + i * spacing_m * along));
    }
    check(edits_to(points, 0));
    check_surface(line.surface, points.with);
    DriverPoints where = points;
    if (where.surface.empty())
      where.surface = setting_at(ground.document, "drivers." + points.driver + ".surface").text();
    for (std::size_t i = 0; i < points.point.size(); ++i) check_place(where, i, line.location);
    return points;
  }

  /// One setting with values by name.
  void settings(const MoveSpec& move, const std::vector<Named<Node>>& values, const std::string& path,
                StudyAxis& axis) const {
    for (const Named<Node>& value : values) {
      Choice choice{value.name, {}};
      if (!is_as_drawn(value.value)) choice.edits = {{Edit::Action::set, path, value.value, value.location}};
      check(choice.edits);
      add(axis, choice, choice.edits.empty());
    }
    if (values.empty()) faults.add(move.location, fmt::format("'{}' has nothing to choose from", axis.name));
  }

  void loadings(const MoveSpec& move, StudyAxis& axis) const {
    if (!move.has("box"))
      return settings(move, move.loadings, "drivers." + move.driver.value + ".loading", axis);
    if (!known("box", "boxes", move.box)) return;
    const std::string path = "boxes." + move.box.value + ".";
    for (const Named<Node>& loading : move.loadings) {
      Choice choice{loading.name, {}};
      for (const Entry& entry : loading.value.entries())
        choice.edits.push_back({Edit::Action::set, path + entry.key, entry.value, entry.key_location});
      if (loading.value.kind() != NodeKind::mapping && !is_as_drawn(loading.value))
        faults.add(
            loading.value.location(),
            fmt::format("a loading of box '{}' must be a mapping such as {{sealed: 25 L}}", move.box.value));
      // A box is sealed or vented.
      for (const auto& [one, other] : {std::pair{"sealed", "vented"}, {"vented", "sealed"}, {"vented", "qa"}})
        if (loading.value.find(one) != nullptr && loading.value.find(other) == nullptr &&
            setting_at(ground.document, path + other).kind() != NodeKind::null)
          choice.edits.push_back({Edit::Action::remove, path + other, Node(), loading.location});
      check(choice.edits);
      add(axis, choice, choice.edits.empty());
    }
  }

  void shifts(const MoveSpec& move, StudyAxis& axis) const {
    const ShiftSpec& shift = *move.shift;
    std::vector<Located<std::string>> paths;
    for (const auto& [list, section] : {std::pair{&shift.blocks, "cabin.blocks."},
                                        {&shift.seats, "seats."},
                                        {&shift.drivers, "drivers."},
                                        {&shift.boxes, "boxes."}})
      for (const Located<std::string>& name : *list) paths.push_back({section + name.value, name.location});
    if (paths.empty()) faults.add(shift.location, "the shift is empty: name blocks, seats, drivers or boxes");
    if (!move.by) {
      faults.add(move.location, "key 'by' is missing: say how far the parts move");
      return;
    }
    const auto take = [&](const std::string& label, const Node& by, const SourceLocation& location) {
      Choice choice{label, {}};
      const bool is_zero =
          is_as_drawn(by) ||
          (by.items().size() == 3 && std::all_of(by.items().begin(), by.items().end(), [](const Node& item) {
             return parse_number(item.text()) == 0.0;
           }));
      for (const Located<std::string>& path : paths)
        if (!is_zero) choice.edits.push_back({Edit::Action::shift, path.value, by, path.location});
      if (!is_zero && by.items().size() != 3) {
        faults.add(location,
                   fmt::format("a shift cannot be {}: give three bare numbers [x, y, z]", in_words(by)));
        return;
      }
      check(choice.edits);
      add(axis, std::move(choice), is_zero);
    };
    each(*move.by, take);
  }

  /// Calls `take(label, node, source location)` for each value listed or named.
  template <typename Take>
  static void each(const ListedNodes& nodes, Take take) {
    if (nodes.index() == 0) {
      for (const Node& node : std::get<0>(nodes)) take(value_label(node), node, node.location());
    } else {
      for (const Named<Node>& node : std::get<1>(nodes)) take(node.name, node.value, node.location);
    }
  }

  // --- Varied settings
  // --------------------------------------------------------------------------------------
  std::optional<StudyAxis> make(const VarySpec& vary) const {
    constexpr const char* kinds[] = {"set", "mute", "choices"};
    const auto count =
        std::count_if(std::begin(kinds), std::end(kinds), [&](const char* key) { return vary.has(key); });
    if (count != 1) {
      faults.add(vary.location, "a vary needs exactly one of set (with to), mute, choices");
      return std::nullopt;
    }
    if (!vary.sound()) return std::nullopt;
    const std::size_t before = faults.times_added();
    StudyAxis axis;
    axis.location = vary.location;
    axis.name = vary.name;
    if (vary.has("to") && !vary.has("set")) faults.add(vary.at("to"), "'to' needs 'set'");
    if (vary.has("set")) values(vary, axis);
    if (vary.has("mute")) mutes(vary, axis);
    if (vary.has("choices")) changes(vary, axis);
    if (faults.times_added() > before) return std::nullopt;
    if (axis.count() > 0) return axis;
    faults.add(vary.location, fmt::format("'{}' has nothing to choose from", axis.name));
    return std::nullopt;
  }

  void values(const VarySpec& vary, StudyAxis& axis) const {
    std::vector<Located<std::string>> paths;
    if (vary.set->index() == 0) {
      paths = {std::get<0>(*vary.set)};
    } else {
      paths = std::get<1>(*vary.set);
    }
    if (axis.name.empty()) axis.name = paths.front().value;
    if (!vary.to) {
      faults.add(vary.location, "key 'to' is missing: give the values of the setting");
      return;
    }
    std::vector<Node> drawn;
    for (const auto& path : paths) drawn.push_back(setting_at(ground.document, path.value));
    bool paths_are_sound = true;
    each(*vary.to, [&](const std::string& label, const Node& value, const SourceLocation&) {
      Choice choice{label, {}};
      const bool is_present =
          is_as_drawn(value) || std::all_of(drawn.begin(), drawn.end(), [&](const Node& own) {
            return own.kind() == NodeKind::null ? is_default(paths.front().value, value)
                                                : same_content(own, value);
          });
      for (const auto& path : paths)
        if (!is_as_drawn(value))
          choice.edits.push_back({Edit::Action::set, path.value, value, path.location});
      // An unknown path is reported once, not for each value.
      const std::size_t before = faults.times_added();
      if (paths_are_sound) check(choice.edits);
      Faults of_paths;
      edited(ground.document, choice.edits, of_paths);
      paths_are_sound = paths_are_sound && !(of_paths.any() && faults.times_added() > before);
      add(axis, std::move(choice), is_present);
    });
  }

  void mutes(const VarySpec& vary, StudyAxis& axis) const {
    ChangesSpec changes;
    changes.mute = vary.mute;
    std::vector<std::string> names;
    for (const auto& name : vary.mute) names.push_back(name.value);
    if (axis.name.empty()) axis.name = "mute";
    Choice without{"without " + joined_by_commas(names),
                   edits_of(changes, ground.document, ground.preset, faults)};
    check(without.edits);
    add(axis, {"with " + joined_by_commas(names), {}}, true);
    add(axis, std::move(without), false);
  }

  void changes(const VarySpec& vary, StudyAxis& axis) const {
    if (axis.name.empty()) axis.name = "choices";
    for (const Named<ChangesChoice>& one : vary.choices) {
      Choice choice{one.name, {}};
      if (one.value.index() == 1)
        choice.edits = edits_of(std::get<ChangesSpec>(one.value), ground.document, ground.preset, faults);
      check(choice.edits);
      const bool is_present = choice.edits.empty();
      add(axis, std::move(choice), is_present);
    }
  }
};

}  // namespace

std::optional<DriverPoints> points_over(const Located<std::string>& driver, const SurfaceGridSpec& grid,
                                        const std::optional<PlaceSpec>& with, const StudyGround& ground,
                                        Faults& faults) {
  const Maker maker{ground, faults};
  if (!maker.known("driver", "drivers", driver)) return std::nullopt;
  DriverPoints points;
  points.driver = driver.value;
  points.surface = grid.over.value;
  points.length_unit_m = ground.length_unit_m;
  points.location = grid.over.location;
  // The edits may add the surface.
  SceneFile changed;
  const Scene* scene = &ground.scene;
  if (with) {
    points.with = edits_of(*with, driver.value, ground.document, ground.preset, faults);
    maker.check(points.with);
    Faults untold;
    changed = read_scene_node(edited(ground.document, points.with, untold), ground.scene_path,
                              ground.model_folders);
    if (changed.scene) scene = &*changed.scene;
  }
  if (!scene->cabin) {
    faults.add(grid.over.location, "the scene has no cabin, so there is no surface for a grid");
    return std::nullopt;
  }
  if (scene->cabin->surface_index(grid.over.value) < 0) {
    faults.add(grid.over.location, build::unknown_name("surface", grid.over.value, scene->cabin->surfaces()));
    return std::nullopt;
  }
  const int index = build::position_of(scene->drivers, driver.value);
  const double cone_m =
      index < 0 ? 0 : scene->drivers[static_cast<std::size_t>(index)].source.piston_radius_m;
  const double margin_m = grid.margin_m.value_or(cone_m);
  points.point = surface_points(*scene->cabin, grid.over.value, grid.spacing_m, margin_m);
  if (!points.point.empty()) return points;
  faults.add(
      grid.over.location,
      fmt::format(
          "a grid of {:.0f} mm has no point on surface '{}' that is at least {:.0f} mm from its edges, or "
          "has more than {} points: change spacing or margin",
          grid.spacing_m * 1000, grid.over.value, margin_m * 1000, most_surface_points));
  return std::nullopt;
}

std::vector<StudyAxis> study_axes(const StudySpec& spec, const StudyGround& ground, Faults& faults) {
  const Maker maker{ground, faults, spec.skip_impossible};
  std::vector<StudyAxis> axes;
  const auto take = [&](std::optional<StudyAxis> axis) {
    if (!axis) return;
    const bool taken = std::any_of(axes.begin(), axes.end(),
                                   [&](const StudyAxis& other) { return other.name == axis->name; });
    if (taken)
      faults.add(
          axis->location,
          fmt::format("two entries of move and vary are named '{}': give one another name", axis->name));
    axes.push_back(std::move(*axis));
  };
  for (const MoveSpec& move : spec.move) take(maker.make(move));
  for (const VarySpec& vary : spec.vary) take(maker.make(vary));
  return axes;
}

std::vector<std::vector<std::size_t>> study_combinations(const std::vector<Node>& combinations,
                                                         const std::vector<StudyAxis>& axes, Faults& faults) {
  std::vector<std::string> names;
  for (const StudyAxis& axis : axes) names.push_back(axis.name);
  std::vector<std::vector<std::size_t>> list;
  for (const Node& combination : combinations) {
    std::vector<std::size_t> chosen(axes.size(), 0);
    for (const Entry& entry : combination.entries()) {
      const auto at = std::find(names.begin(), names.end(), entry.key);
      if (at == names.end()) {
        faults.add(entry.key_location, build::unknown_name("move or vary", entry.key, names));
        continue;
      }
      const auto a = static_cast<std::size_t>(at - names.begin());
      const StudyAxis& axis = axes[a];
      const std::string wanted = value_label(entry.value);
      std::vector<std::string> labels;
      for (std::size_t c = 0; c < axis.count() && labels.size() < 1000; ++c) labels.push_back(axis.label(c));
      const auto label = std::find(labels.begin(), labels.end(), wanted);
      std::size_t position = 0;
      std::from_chars(wanted.data(), wanted.data() + wanted.size(), position);
      const bool is_position = std::to_string(position) == wanted;
      if (label != labels.end()) {
        chosen[a] = static_cast<std::size_t>(label - labels.begin());
      } else if (is_position && position >= 1 && position <= axis.count()) {
        chosen[a] = position - 1;
      } else {
        if (labels.size() > 20) labels.resize(20);
        faults.add(
            entry.value.location(),
            fmt::format("{}; or a number from 1 to {}",
                        build::unknown_name("choice of '" + entry.key + "'", wanted, labels), axis.count()));
      }
    }
    list.push_back(std::move(chosen));
  }
  return list;
}

}  // namespace cabinfield
