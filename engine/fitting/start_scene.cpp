#include "fitting/start_scene.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/constants.h"
#include "base/nearest_name.h"
#include "base/quoted.h"
#include "fitting/moved_text.h"
#include "fitting/start_drivers.h"
#include "fitting/yielding_guesses.h"
#include "input/scene_file.h"
#include "scene/build_steps.h"
#include "scene/mirrored.h"

namespace cabinfield {
namespace {

/// A length this far beyond the usual range of the shape is a mistake.
constexpr double least_share = 0.75, greatest_share = 1.3;
/// A head this near the roof, m, hits it.
constexpr double least_over_ear_m = 0.06;
/// Lengths that leave more than this, m, contradict one another: twice what two hand measurements differ by.
constexpr double contradiction_m = 0.020;

std::string mm(double metres) { return fmt::format("{:.0f} mm", metres * 1000); }

std::string asked(const Shape& shape, const std::string& name) {
  for (const auto& tape : shape.spec.tapes)
    if (tape.name == name) return fmt::format("{} ({})", name, tape.value.words);
  return name;
}

/// One end as a tape line of a scene writes it.
std::string end_text(const std::variant<std::string, Vector3>& given, const Vector3& at, bool wheel_right) {
  const std::string* words = std::get_if<std::string>(&given);
  if (words != nullptr && words->find('.') != std::string::npos) {
    // Who sits behind the driver sits on the driver's side.
    return wheel_right ? mirrored_name(*words) : *words;
  }
  return fmt::format("[{:.3f}, {:.3f}, {:.3f}]", at.x(), (wheel_right ? -1 : 1) * at.y() + 0.0, at.z());
}

void replace_line(std::string& text, const std::string& key, const std::string& line) {
  const std::size_t start = text.find("\n" + key + ":");
  if (start == std::string::npos) return;
  text.replace(start + 1, text.find('\n', start + 1) - start - 1, line);
}

}  // namespace

std::optional<StartDrivers> read_start_drivers(const std::string& text, Faults& faults) {
  const std::vector<std::string> known{"two-way", "three-way", "centre", "rear", "subwoofer"};
  StartDrivers options;
  bool* const flags[] = {&options.two_way, &options.three_way, &options.centre, &options.rear,
                         &options.subwoofer};
  bool sound = true;
  for (std::size_t start = 0; start <= text.size();) {
    const std::size_t comma = std::min(text.find(',', start), text.size());
    std::string word = text.substr(start, comma - start);
    word.erase(0, word.find_first_not_of(' '));
    word.erase(word.find_last_not_of(' ') + 1);
    start = comma + 1;
    const auto found = std::find(known.begin(), known.end(), word);
    if (found != known.end()) {
      *flags[found - known.begin()] = true;
      continue;
    }
    const std::string hint = nearest_name_hint(word, known);
    faults.add({}, fmt::format("--drivers: unknown {}{} give two-way or three-way, then any of centre, rear, "
                               "subwoofer, separated by commas",
                               cabinfield::quoted(word), hint.empty() ? ";" : hint));
    sound = false;
  }
  if (sound && options.two_way == options.three_way) {
    faults.add({}, "--drivers: give either two-way or three-way, then any of centre, rear, subwoofer");
    sound = false;
  }
  return sound ? std::optional(options) : std::nullopt;
}

std::vector<TakenTape> read_tapes(const std::string& file, const Shape& shape, Faults& faults) {
  std::vector<TakenTape> taken;
  const std::string text = read_text_file(file, faults);
  if (faults.any()) return taken;
  const Node root = parse_document(text, file, faults);
  if (faults.any()) return taken;
  Reading reading{faults};
  if (root.kind() != NodeKind::mapping) {
    reading.wrong_kind(root, "a line NAME: LENGTH for each tape, such as roof_height: 1180 mm");
    return taken;
  }
  std::vector<std::string> known;
  for (const auto& tape : shape.spec.tapes) known.push_back(tape.name);
  const ValueKind<double> length = quantity(Quantity::length, {0.01, 30});
  for (const Entry& entry : root.entries()) {
    if (std::find(known.begin(), known.end(), entry.key) == known.end()) {
      const std::string hint = nearest_name_hint(entry.key, known);
      faults.add(entry.key_location, fmt::format("the shape {} has no tape {}{} known: {}", shape.key,
                                                 cabinfield::quoted(entry.key), hint.empty() ? ";" : hint,
                                                 joined_by_commas(known)));
      continue;
    }
    if (entry.value.kind() == NodeKind::null) continue;  // not taken
    ReadingScope scope(reading);
    scope.enter_key(entry.key);
    if (const auto value = length.read(entry.value, reading))
      taken.push_back({entry.key, *value, entry.value.location()});
  }
  return taken;
}

std::string tape_form(const Shape& shape) {
  std::string text = fmt::format(
      "# Lengths to measure in a car of the shape '{0}' ({1}). Write each with its unit, such as 1180 mm, "
      "118 cm or 46.5 in;\n# leave empty what you cannot reach. Then: cabinfield start {0} -o scene.yaml "
      "--tape THIS_FILE\n",
      shape.key, shape.spec.name);
  std::size_t widest = 0;
  for (const auto& tape : shape.spec.tapes) widest = std::max(widest, tape.name.size());
  for (const auto& tape : shape.spec.tapes)
    text += fmt::format("{:<{}}         # {}\n", tape.name + ":", widest + 1, tape.value.words);
  return text;
}

void check_tapes(const Shape& shape, const std::vector<TakenTape>& taken, Faults& faults) {
  const auto find = [&](const std::string& name) -> const TakenTape* {
    for (const TakenTape& tape : taken)
      if (tape.name == name) return &tape;
    return nullptr;
  };
  for (const TakenTape& tape : taken)
    for (const auto& known : shape.spec.tapes) {
      if (known.name != tape.name) continue;
      const double least = known.value.usual_m[0], greatest = known.value.usual_m[1];
      if (tape.length_m >= least && tape.length_m <= greatest) continue;
      const std::string words =
          fmt::format("{}: taped {}; the usual range for the shape {} is {} to {}", asked(shape, tape.name),
                      mm(tape.length_m), shape.key, mm(least), mm(greatest));
      if (tape.length_m < least_share * least || tape.length_m > greatest_share * greatest)
        faults.add(tape.location, words + ": check the unit, or choose another shape");
      else
        faults.warn(tape.location, words);
    }
  // What must be smaller than what, by how much, and what it would mean.
  struct Order {
    const char *smaller, *larger;
    double by_m;
    const char* else_words;
  };
  const Order orders[] = {
      {"ear_height", "roof_height", least_over_ear_m, "the head would be above the roof, or in it"},
      {"sill_height", "roof_height", 0.10, "the side glass would begin above the roof"},
      {"elbow_width", "inside_length", 0, "the car would be wider than it is long"},
      {"shoulder_width", "inside_length", 0, "the car would be wider than it is long"},
      {"ear_to_windscreen", "inside_length", 0.10, "the driver would sit behind the car"},
      {"head_spacing", "elbow_width", 0.20, "both front heads would be outside the doors"},
      {"head_spacing", "shoulder_width", 0.20, "both front heads would be outside the glass"},
  };
  for (const Order& order : orders) {
    const TakenTape *small = find(order.smaller), *large = find(order.larger);
    if (small == nullptr || large == nullptr || small->length_m + order.by_m <= large->length_m) continue;
    faults.add(small->location,
               fmt::format("{}, {}, against {}, {}: {}", asked(shape, small->name), mm(small->length_m),
                           asked(shape, large->name), mm(large->length_m), order.else_words));
  }
}

std::optional<ShapeBody> shape_body(const Shape& shape, const std::vector<std::string>& model_folders,
                                    Faults& faults) {
  ShapeBody body;
  body.read = read_scene_spec(shape.scene_text, shape.scene_file, model_folders, faults);
  if (!body.read.spec) return std::nullopt;
  std::optional<Scene> scene = build_scene(*body.read.spec, faults);
  if (!scene || !scene->cabin) return std::nullopt;
  body.scene = std::move(*scene);
  body.planes = free_planes(body.scene.cabin->shape(), heads_of(body.scene));
  for (const auto& tape : shape.spec.tapes) {
    TapeLine line;
    const auto end = [&](const std::variant<std::string, Vector3>& given, const char* key) {
      const auto found = tape_end(given, *body.read.spec, body.scene);
      if (!found)
        faults.add(tape.value.at(key), fmt::format("tape '{}': {} is not in the scene", tape.name, key));
      return found.value_or(TapeEnd{});
    };
    line.from = end(tape.value.from, "from");
    line.to = end(tape.value.to, "to");
    if (tape.value.through) line.through = end(*tape.value.through, "through").point;
    body.tapes.push_back(line);
  }
  if (faults.any()) return std::nullopt;
  return body;
}

std::optional<Scene> tape_sheet(const Shape& shape, const std::vector<std::string>& model_folders,
                                Faults& faults) {
  std::optional<ShapeBody> body = shape_body(shape, model_folders, faults);
  if (!body) return std::nullopt;
  const CabinWarp as_drawn = unmoved(body->planes);
  Scene& scene = body->scene;
  scene.title = fmt::format("Where to tape: {}", shape.spec.name);
  scene.drivers.clear();
  scene.marks.clear();
  for (std::size_t t = 0; t < body->tapes.size(); ++t) {
    const auto ends = tape_ends(as_drawn, scene.cabin->shape(), body->tapes[t]);
    const auto& tape = shape.spec.tapes[t];
    scene.tapes.push_back({fmt::format("{}: {}", tape.name, tape.value.words), "", ends[0], ends[1], 0, 0});
  }
  return std::move(scene);
}

std::optional<Started> start_scene(const Shape& shape, const StartOptions& options,
                                   const std::vector<std::string>& model_folders, Faults& faults) {
  check_tapes(shape, options.taken, faults);
  if (faults.any()) return std::nullopt;
  const std::optional<ShapeBody> body = shape_body(shape, model_folders, faults);
  if (!body) return std::nullopt;
  const CabinShape& drawn = body->scene.cabin->shape();

  // The lengths taken are to be met as they are: no tape is doubted, the shape yields.
  std::vector<TapeLine> taken_lines;
  std::vector<std::size_t> taken_index;
  Started started;
  for (std::size_t t = 0; t < shape.spec.tapes.size(); ++t) {
    const auto taken = std::find_if(options.taken.begin(), options.taken.end(), [&](const TakenTape& tape) {
      return tape.name == shape.spec.tapes[t].name;
    });
    if (taken == options.taken.end()) {
      started.from_shape.push_back(shape.spec.tapes[t].name);
      continue;
    }
    taken_lines.push_back(body->tapes[t]);
    taken_lines.back().length_m = taken->length_m;
    taken_index.push_back(t);
  }
  constexpr double as_taped_m = 0.002;
  const TapeFit fit = fit_tapes(drawn, body->planes, taken_lines, {as_taped_m, false});
  for (std::size_t i = 0; i < taken_lines.size(); ++i) {
    const double off = fit.tapes[i].fitted_m - taken_lines[i].length_m;
    if (std::abs(off) <= contradiction_m) continue;
    const std::string& name = shape.spec.tapes[taken_index[i]].name;
    SourceLocation location;
    for (const TakenTape& tape : options.taken)
      if (tape.name == name) location = tape.location;
    faults.add(location,
               fmt::format("{}: {} contradicts the other lengths: the best fit to them gives {} there",
                           asked(shape, name), mm(taken_lines[i].length_m), mm(fit.tapes[i].fitted_m)));
  }
  if (faults.any()) return std::nullopt;

  std::string text = "\n" + moved_text(shape.scene_text, body->read.root, fit.warp,
                                       {body->read.length_unit_m, options.wheel_right});
  replace_line(text, "title", fmt::format("title: {}, from a tape measure", shape.spec.name));
  if (options.wheel_right) replace_line(text, "wheel_side", "wheel_side: right");
  text.erase(0, 1);
  text = with_wanted_places(text, body->read.root, options.drivers);
  if (!options.drivers.any()) {
    const std::size_t at = text.find("\n# drivers:");
    if (at != std::string::npos)
      text.insert(at + 1,
                  "# Usual positions of drivers. To use one, remove the `# ` before its lines (and before\n# "
                  "`drivers:`), then give it your model and the room that it has there, such as opening:\n# "
                  "{cutout: 155 mm, depth: 78 mm}.\n");
  }

  std::string tapes;
  for (std::size_t i = 0; i < taken_lines.size(); ++i) {
    const auto& spec = shape.spec.tapes[taken_index[i]];
    const auto ends = tape_ends(fit.warp, drawn, taken_lines[i]);
    tapes += fmt::format("  - {{from: {}, to: {}, length: {:.0f} mm}}   # {}\n",
                         end_text(spec.value.from, ends[0], options.wheel_right),
                         end_text(spec.value.to, ends[1], options.wheel_right),
                         taken_lines[i].length_m * 1000, spec.name);
  }
  if (!tapes.empty())
    text +=
        "\n# As measured. A difference above 20 mm is a warning, above 60 mm a fault. Add further tapes "
        "here, then run\n# `cabinfield check SCENE --fit-shape`.\ntape:\n" +
        tapes;
  if (options.drivers.any()) text += channels_text(options.drivers, body->scene);

  std::string head = fmt::format(
      "# A first scene of a car from the shape '{}', a body with invented proportions, fitted to {}\n# "
      "measured length{}. All that you did not measure is the shape's guess: check it against the car.\n",
      shape.key, taken_lines.size(), taken_lines.size() == 1 ? "" : "s");
  if (!started.from_shape.empty())
    head += fmt::format("# Not measured, estimated from the shape's proportions: {}.\n",
                        joined_by_commas(started.from_shape));
  head += "# scenes/README.md explains every section.\n";
  text = head + text;

  const YieldedScene yielded = with_yielding_guesses(text, model_folders);
  const SceneFile file = read_scene_text(yielded.text, "started scene", model_folders);
  if (!file.scene) {
    // The body stands, but something in it no longer does: that too is lengths that do not go together.
    for (const Fault& fault : yielded.faults.faults())
      faults.add({}, "these lengths do not give a valid scene: " + fault.message);
    return std::nullopt;
  }
  started.yielded = yielded.notes;
  started.text = yielded.text + (options.drivers.any() ? preset_text(*file.scene) : "");
  return started;
}

}  // namespace cabinfield
