#include "fitting/fit_scene.h"

#include <fmt/format.h>

#include <array>
#include <cmath>

#include "base/quoted.h"
#include "fitting/moved_text.h"
#include "input/scene_file.h"
#include "input/shape_file.h"

namespace cabinfield {
namespace {

/// A tape beyond these parts of what is drawn is a mistake: the range that `start` allows of a usual body, m
/// beside.
constexpr double least_part = 0.64, greatest_part = 1.5, beside_m = 0.1;
/// Ends nearer than this are one point; tapes of the same ends differ by more than two readings by hand, m.
constexpr double same_point_m = 0.005, same_reading_m = 0.020;

std::string mm(double metres) { return fmt::format("{:.0f} mm", metres * 1000); }

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

std::string tape_words(const TapeSpec& tape) {
  return fmt::format("tape from {} to {}", end_words(tape.from), end_words(tape.to));
}

/// Tapes that no body can follow.
void check_lengths(const std::vector<TapeSpec>& given, const std::vector<TapeLine>& lines, const Scene& scene,
                   Faults& faults) {
  const CabinShape& shape = scene.cabin->shape();
  const CabinWarp drawn = unmoved(free_planes(shape, heads_of(scene)));
  std::vector<std::array<Vector3, 2>> ends;
  for (const TapeLine& line : lines) ends.push_back(tape_ends(drawn, shape, line));
  const auto near = [](const Vector3& one, const Vector3& other) {
    return (one - other).norm() < same_point_m;
  };
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const double drawn_m = (ends[i][1] - ends[i][0]).norm(), taped_m = lines[i].length_m;
    if (drawn_m < same_point_m) {
      faults.add(given[i].location, tape_words(given[i]) + " starts and ends at the same point");
      continue;
    }
    if (taped_m < least_part * drawn_m - beside_m || taped_m > greatest_part * drawn_m + beside_m) {
      faults.add(given[i].at("length"),
                 fmt::format("{}: taped {}, drawn {}: too far apart to fit. Check the unit and both ends",
                             tape_words(given[i]), mm(taped_m), mm(drawn_m)));
      continue;
    }
    for (std::size_t j = 0; j < i; ++j) {
      const bool same = (near(ends[i][0], ends[j][0]) && near(ends[i][1], ends[j][1])) ||
                        (near(ends[i][0], ends[j][1]) && near(ends[i][1], ends[j][0]));
      if (!same || std::abs(taped_m - lines[j].length_m) <= same_reading_m) continue;
      faults.add(
          given[i].at("length"),
          fmt::format("{}: taped {} here but {} in line {} between the same ends: measure it again",
                      tape_words(given[i]), mm(taped_m), mm(lines[j].length_m), given[j].location.line));
      break;
    }
  }
}

/// What `check` would say of the moved scene, after which tape looks wrong.
std::vector<Fault> faults_of_moved(const FittedScene& fitted, const std::vector<TapeSpec>& given,
                                   const std::string& file, const std::vector<std::string>& model_folders) {
  const SceneFile moved = read_scene_text(fitted.text, file, model_folders);
  if (moved.scene) return {};
  std::vector<Fault> result;
  std::size_t most = 0;
  const auto far = [](const SceneTapeFit& tape) { return std::abs(tape.taped_m - tape.drawn_m); };
  for (std::size_t i = 0; i < fitted.tapes.size(); ++i) {
    const SceneTapeFit& tape = fitted.tapes[i];
    if (far(tape) > far(fitted.tapes[most])) most = i;
    if (tape.wrong)
      result.push_back(
          {given[i].at("length"),
           fmt::format("{}: {} looks wrong; the other tapes suggest about {}: measure it again, or remove it",
                       tape_words(given[i]), mm(tape.taped_m), mm(tape.fitted_m))});
  }
  if (result.empty())
    result.push_back(
        {given[most].at("length"),
         fmt::format("{}: {} looks wrong; it moves the body most, from {} as drawn: measure it again",
                     tape_words(given[most]), mm(fitted.tapes[most].taped_m),
                     mm(fitted.tapes[most].drawn_m))});
  for (const Fault& fault : moved.faults.sorted())
    result.push_back({fault.location, "fitted to its tapes: " + fault.message});
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
  // A tape that cannot be read keeps nobody from what else is wrong.
  Faults of_building;
  const std::optional<Scene> scene = build_scene(untaped, of_building);
  faults.add_all(of_building);
  if (!scene) return std::nullopt;
  if (!scene->cabin || scene->cabin->shape().box)
    faults.add({file, 0, 0},
               "--fit-shape: the scene has no side view to move: give cabin a profile and sides");
  if (scene->seats.empty()) faults.add({file, 0, 0}, "--fit-shape: the scene has no seats");
  if (given.empty()) faults.add({file, 0, 0}, "--fit-shape: the scene has no tape: to agree with");
  if (!scene->cabin || scene->cabin->shape().box || scene->seats.empty() || given.empty())
    return std::nullopt;

  std::vector<TapeLine> lines;
  for (const TapeSpec& tape : given) {
    TapeLine line;
    if (!tape.sound()) {  // said already; the others are looked at all the same
      lines.push_back(line);
      continue;
    }
    for (const bool at_from : {true, false}) {
      const auto& end = at_from ? tape.from : tape.to;
      std::optional<TapeEnd> found = tape_end(end, untaped, *scene);
      // A scene's tape ends at a point: the words for walls are names that are not known here.
      if (found && found->wall != TapeEnd::Wall::none) found.reset();
      if (!found)
        faults.add(
            tape.at(at_from ? "from" : "to"),
            fmt::format("tape: {} is not in the scene; expected seats.NAME, drivers.NAME, marks.NAME or a "
                        "point",
                        cabinfield::quoted(end_words(end))));
      else
        (at_from ? line.from : line.to) = *found;
    }
    line.length_m = tape.length_m;
    lines.push_back(line);
  }
  if (faults.any() || !sound) return std::nullopt;
  check_lengths(given, lines, *scene, faults);
  if (faults.any()) return std::nullopt;

  const CabinShape& shape = scene->cabin->shape();
  const FreePlanes planes = free_planes(shape, heads_of(*scene));
  const CabinWarp before = unmoved(planes);
  const TapeFit fit = fit_tapes(shape, planes, lines);
  FittedScene result;
  result.degrees_of_freedom = planes.degrees_of_freedom();
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const auto ends = tape_ends(before, shape, lines[i]);
    const FittedTape& fitted = fit.tapes[i];
    result.tapes.push_back({end_words(given[i].from), end_words(given[i].to), lines[i].length_m,
                            (ends[1] - ends[0]).norm(), fitted.fitted_m, fitted.wrong, fitted.likely_error_m,
                            fitted.checked});
  }
  result.moves = moves(fit.warp);
  result.text = moved_text(text, read.root, fit.warp, {read.length_unit_m, false});
  result.unsound = faults_of_moved(result, given, file, model_folders);
  return result;
}

}  // namespace cabinfield
