#include "input/fit_scene.h"

#include <fmt/format.h>

#include <cmath>

#include "input/moved_text.h"
#include "input/scene_file.h"
#include "input/shape_file.h"

namespace cabinfield {
namespace {

std::string end_words(const std::variant<std::string, Vector3>& end) {
  if (const Vector3* point = std::get_if<Vector3>(&end))
    return fmt::format("({:.3f}, {:.3f}, {:.3f}) m", point->x(), point->y(), point->z());
  return std::get<std::string>(end);
}

std::vector<PlaneMove> moves(const CabinWarp& warp) {
  std::vector<PlaneMove> result;
  const FreePlanes& planes = warp.planes();
  const auto add = [&](std::string words, double from_m, double to_m) {
    result.push_back({std::move(words), from_m, to_m});
  };
  for (std::size_t i = 0; i < planes.x.size(); ++i)
    add("x of " + planes.x_name[i], planes.x[i], warp.x(planes.x[i]));
  for (std::size_t i = 0; i < planes.z.size(); ++i)
    add("height of " + planes.z_name[i], planes.z[i], warp.z(planes.z[i]));
  for (std::size_t i = 0; i < planes.side_z.size(); ++i)
    add(fmt::format("half width at {:.2f} m", planes.side_z[i]), planes.half_width[i],
        warp.new_half_width(planes.side_z[i]));
  if (planes.head_y > 0)
    add("heads from the centre line", planes.head_y, warp.y(planes.head_y, planes.side_z.front()));
  return result;
}

}  // namespace

std::optional<FittedScene> fit_scene(const std::string& text, const std::string& file, Faults& faults,
                                     const std::vector<std::string>& model_folders) {
  ReadScene read = read_scene_spec(text, file, model_folders, faults);
  if (!read.spec) return std::nullopt;
  // Tapes that are off are what this is for: the scene is built without them.
  const std::vector<TapeSpec> given = read.spec->tape;
  const bool sound = read.spec->sound("tape");
  SceneSpec untaped = *read.spec;
  untaped.tape.clear();
  const std::optional<Scene> scene = build_scene(untaped, faults);
  if (!scene || !sound) return std::nullopt;
  if (!scene->cabin || scene->cabin->shape().box)
    faults.add({file, 0, 0},
               "--fit-shape: the scene has no side view to move: give cabin a profile and sides");
  if (scene->seats.empty()) faults.add({file, 0, 0}, "--fit-shape: the scene has no seats");
  if (given.empty()) faults.add({file, 0, 0}, "--fit-shape: the scene has no tape: to agree with");
  if (faults.any()) return std::nullopt;

  std::vector<TapeLine> lines;
  for (const TapeSpec& tape : given) {
    TapeLine line;
    for (const bool at_from : {true, false}) {
      const auto& end = at_from ? tape.from : tape.to;
      std::optional<TapeEnd> found = tape_end(end, untaped, *scene);
      // A scene's tape ends at a point: the words for walls are names that are not known here.
      if (found && found->wall != TapeEnd::Wall::none) found.reset();
      if (!found)
        faults.add(
            tape.at(at_from ? "from" : "to"),
            fmt::format("tape: '{}' is not in the scene; expected seats.NAME, drivers.NAME, marks.NAME or a "
                        "point",
                        end_words(end)));
      else
        (at_from ? line.from : line.to) = *found;
    }
    line.length_m = tape.length_m;
    lines.push_back(line);
  }
  if (faults.any()) return std::nullopt;

  const CabinShape& shape = scene->cabin->shape();
  const FreePlanes planes = free_planes(shape, heads_of(*scene));
  const CabinWarp before = unmoved(planes);
  const TapeFit fit = fit_tapes(shape, planes, lines);
  FittedScene result;
  result.unknowns = planes.unknowns();
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const auto ends = tape_ends(before, shape, lines[i]);
    const FittedTape& fitted = fit.tapes[i];
    result.tapes.push_back({end_words(given[i].from), end_words(given[i].to), lines[i].length_m,
                            (ends[1] - ends[0]).norm(), fitted.fitted_m, fitted.wrong, fitted.likely_error_m,
                            fitted.checked});
  }
  result.moves = moves(fit.warp);
  result.text = moved_text(text, read.root, fit.warp, {read.length_unit_m, false});
  return result;
}

}  // namespace cabinfield
