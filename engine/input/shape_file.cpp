#include "input/shape_file.h"

#include <algorithm>
#include <filesystem>
#include <map>

#include "base/constants.h"
#include "base/nearest_name.h"
#include "base/quoted.h"
#include "input/model_library.h"
#include "input/scene_keys.h"

namespace cabinfield {
namespace {

const Keys<ShapeTapeSpec>& shape_tape_keys() {
  using Spec = ShapeTapeSpec;
  const auto end = either(dotted_name(2), point());
  static const auto keys =
      Keys<Spec>()
          .add("words", &Spec::words, text(), "where to hold the tape")
          .required()
          .add("from", &Spec::from, end,
               "seats.NAME, marks.NAME, a point, or a wall: front, rear, left, right, floor, roof")
          .required()
          .add("to", &Spec::to, end, "the other end")
          .required()
          .add("through", &Spec::through, end, "point that a line from wall to wall passes through")
          .add("usual", &Spec::usual_m, list_of(quantity(Quantity::length, {0.1, 10}), 2, 2),
               "smallest and largest value in cars of this shape")
          .required();
  return keys;
}

const Keys<ShapeBandSpec>& shape_band_keys() {
  using Spec = ShapeBandSpec;
  const auto lengths = list_of(quantity(Quantity::length, {0.1, 10}), 2, 2);
  static const auto keys =
      Keys<Spec>()
          .add("volume", &Spec::volume_m3, list_of(quantity(Quantity::volume, {0.1, 100}), 2, 2), "of air")
          .required()
          .add("shoulder_width", &Spec::shoulder_width_m, lengths, "at ear height")
          .required()
          .add("ear_height", &Spec::ear_height_m, lengths, "of the driver, above the front carpet")
          .required();
  return keys;
}

/// A scene within another file: only where it begins is kept.
ValueKind<int> scene_within() {
  return {[](const Node& node, Reading& reading) -> std::optional<int> {
            if (node.kind() == NodeKind::mapping) return node.location().line;
            reading.wrong_kind(node, "a scene");
            return std::nullopt;
          },
          [](const int&, Writing& writing) { writing.text(""); },
          "a scene, last in the file",
          {NodeKind::mapping},
          type_schema("object")};
}

/// The lines from one on (counted from 1) without the indent of the first.
std::string cut_out(const std::string& text, int from_line) {
  std::string result;
  std::size_t start = 0, indent = std::string::npos;
  for (int line = 1; start < text.size(); ++line) {
    const std::size_t end = std::min(text.find('\n', start), text.size());
    std::string words = text.substr(start, end - start);
    start = end + 1;
    if (line < from_line) continue;
    if (indent == std::string::npos) indent = words.find_first_not_of(' ');
    result += words.substr(std::min(indent, words.find_first_not_of(' ') == std::string::npos
                                                ? words.size()
                                                : words.find_first_not_of(' '))) +
              "\n";
  }
  return result;
}

}  // namespace

const Keys<ShapeSpec>& shape_keys() {
  using Spec = ShapeSpec;
  static const auto keys =
      Keys<Spec>()
          .add("cabinfield_model", &Spec::model, choice<std::string>({{"shape", "shape"}}), "kind of model")
          .required()
          .add("name", &Spec::name, text(), "")
          .required()
          .add("note", &Spec::note, text(), "where the proportions come from")
          .add("band", &Spec::band, mapping(shape_band_keys(), "band"), "plausible range for such a car")
          .required()
          .add("tapes", &Spec::tapes, named(mapping(shape_tape_keys(), "tape")),
               "lengths to measure for this shape")
          .required()
          .add("scene", &Spec::scene_line, scene_within(), "the complete body, with comments")
          .required();
  return keys;
}

std::vector<std::pair<std::string, std::vector<KeyLine>>> shape_key_sections() {
  return {{"a shape", shape_keys().lines()},
          {"a shape: band", shape_band_keys().lines()},
          {"a shape: a tape", shape_tape_keys().lines()}};
}

std::vector<std::string> shape_names(const std::vector<std::string>& model_folders) {
  return ModelLibrary(model_folders).names("shapes");
}

std::optional<Shape> read_shape(const std::string& key, const std::vector<std::string>& model_folders,
                                Faults& faults) {
  for (const std::string& folder : model_folders) {
    const auto path = std::filesystem::path(folder) / "shapes" / (key + ".yaml");
    std::error_code failed;
    if (!name_error(key).empty() || !std::filesystem::is_regular_file(path, failed)) continue;
    const std::string file = path.string();
    const std::string text = read_text_file(file, faults);
    if (faults.any()) return std::nullopt;
    const Node root = parse_document(text, file, faults);
    if (faults.any()) return std::nullopt;
    Reading reading{faults};
    Shape shape;
    shape.key = key;
    shape.spec = shape_keys().read(root, reading);
    if (faults.any()) return std::nullopt;
    shape.scene_text = cut_out(text, shape.spec.scene_line);
    shape.file = file;
    shape.scene_file = file + " (its scene)";
    return shape;
  }
  const auto known = shape_names(model_folders);
  const std::string hint = nearest_name_hint(key, known);
  faults.add({}, "unknown shape " + cabinfield::quoted(key) + (hint.empty() ? ";" : hint) +
                     " known: " + joined_by_commas(known));
  return std::nullopt;
}

std::optional<TapeEnd> tape_end(const std::variant<std::string, Vector3>& given, const SceneSpec& spec,
                                const Scene& scene) {
  using Wall = TapeEnd::Wall;
  TapeEnd end;
  if (const Vector3* point = std::get_if<Vector3>(&given)) {
    end.point = *point;
    return end;
  }
  static const std::map<std::string, Wall> walls{{"front", Wall::front}, {"rear", Wall::rear},
                                                 {"left", Wall::left},   {"right", Wall::right},
                                                 {"floor", Wall::floor}, {"roof", Wall::roof}};
  const std::string& words = std::get<std::string>(given);
  if (const auto wall = walls.find(words); wall != walls.end()) {
    end.wall = wall->second;
    return end;
  }
  const std::size_t dot = words.find('.');
  const std::string kind = words.substr(0, dot), name = dot == std::string::npos ? "" : words.substr(dot + 1);
  if (kind == "seats")
    for (const auto& seat : spec.seats)
      if (seat.name == name) {
        if (seat.value.head) {
          end.point = *seat.value.head;
        } else if (seat.value.reference) {
          end.point = *seat.value.reference;
          end.offset = {0, 0, head_over_reference_m};
        } else {
          return std::nullopt;
        }
        return end;
      }
  if (kind == "marks")
    for (const Mark& mark : scene.marks)
      if (mark.name == name) {
        end.point = mark.position;
        return end;
      }
  if (kind == "drivers")
    for (const MountedDriver& driver : scene.drivers)
      if (driver.name == name) {
        end.point = driver.source.position;
        return end;
      }
  return std::nullopt;
}

std::vector<Vector3> heads_of(const Scene& scene) {
  std::vector<Vector3> heads;
  for (const Seat& seat : scene.seats)
    if (seat.name == "driver")
      heads.insert(heads.begin(), seat.head);
    else
      heads.push_back(seat.head);
  return heads;
}

}  // namespace cabinfield
