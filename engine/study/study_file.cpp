#include "study/study_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

#include "base/nearest_name.h"
#include "base/quoted.h"
#include "scene/build_steps.h"
#include "study/study_axes.h"
#include "study/study_keys.h"

namespace cabinfield {
namespace {

namespace fs = std::filesystem;

/// The scene that the study names; false after a fault.
bool read_scene(const Node& root, const std::string& file, Study& study, Faults& faults) {
  const Node* named = root.find("scene");
  if (named == nullptr || named->kind() != NodeKind::scalar) return false;
  const fs::path path = fs::path(file).parent_path() / named->text();
  study.scene_path = path.lexically_normal().string();
  if (std::error_code error; !fs::is_regular_file(path, error)) {
    faults.add(named->location(), fmt::format("there is no scene {}: {} is not a file",
                                              cabinfield::quoted(named->text()), study.scene_path));
    return false;
  }
  Faults of_scene;
  const std::string text = read_text_file(study.scene_path, of_scene);
  if (!of_scene.any()) study.scene = parse_document(text, study.scene_path, of_scene);
  if (!of_scene.any()) {
    study.present = read_scene_node(study.scene, study.scene_path, study.model_folders);
    study.present.source = text;
    of_scene = study.present.faults;
  }
  faults.add_all(of_scene);
  return study.present.scene.has_value();
}

Uncertainty uncertainty_of(const UncertaintySpec& spec, Faults& faults) {
  Uncertainty uncertainty;
  uncertainty.samples = spec.samples.value_or(usual_samples);
  const auto take = [](auto& value, const auto& given) {
    if (given) value = static_cast<std::decay_t<decltype(value)>>(*given);
  };
  take(uncertainty.seed, spec.seed);
  take(uncertainty.tape_m, spec.tape_m);
  take(uncertainty.cabin_size_m, spec.cabin_size_m);
  if (spec.ears) {
    take(uncertainty.ear_along_m, spec.ears->along_m);
    take(uncertainty.ear_across_m, spec.ears->across_m);
    take(uncertainty.ear_up_m, spec.ears->up_m);
  }
  take(uncertainty.driver_resonance, spec.driver_resonance);
  take(uncertainty.driver_q, spec.driver_q);
  take(uncertainty.driver_vas, spec.driver_vas);
  take(uncertainty.driver_level_db, spec.driver_level_db);
  take(uncertainty.box_volume, spec.box_volume);
  take(uncertainty.material_impedance, spec.material_impedance);
  if (spec.temperature_k.size() == 2) {
    uncertainty.temperature_k = {spec.temperature_k[0], spec.temperature_k[1]};
    if (uncertainty.temperature_k[0] > uncertainty.temperature_k[1])
      faults.add(spec.at("temperature"),
                 "doubt: temperature: the first value is above the second: give the lower first");
  }
  return uncertainty;
}

BeforeJudging before_judging(const BeforeJudgingSpec& spec, const Scene& scene, Faults& faults) {
  BeforeJudging before;
  if (!spec.has("line_up_arrivals") && !spec.has("set_levels") && spec.sound())
    faults.add(spec.location, "before_judging: give line_up_arrivals, set_levels, or the word nothing");
  if (spec.has("line_up_arrivals") && spec.sound("line_up_arrivals"))
    for (const int seat : seat_indices({spec.line_up_arrivals}, scene, faults)) before.line_up_seat = seat;
  if (spec.set_levels) {
    BeforeJudging::CommonLevel level;
    if (const auto band =
            study_band(spec.set_levels->band_hz, spec.set_levels->at("band"), "set_levels", scene, faults))
      level.band = *band;
    level.level_db = spec.set_levels->level_db;
    level.seats = seat_indices(spec.set_levels->seats, scene, faults);
    before.level = level;
  }
  return before;
}

void judge(const StudySpec& spec, Study& study, Faults& faults) {
  for (const JudgeSpec& one : spec.judge) {
    if (!one.sound()) continue;
    if (one.measure == fits_the_opening) {
      study.must_fit_openings = true;
      for (const auto& [key, location] : one.keys)
        if (key != "measure" && key != "name")
          faults.add(location, fmt::format("measure '{}' is a pass/fail check: remove {}", one.measure, key));
      continue;
    }
    auto measure = study_measure(one, study.scene, *study.present.scene, faults);
    if (!measure) continue;
    const bool taken = std::any_of(study.judge.begin(), study.judge.end(),
                                   [&](const StudyMeasure& other) { return other.name == measure->name; });
    if (taken)
      faults.add(one.location,
                 fmt::format("two measures are named '{}': give one another name", measure->name));
    study.judge.push_back(std::move(*measure));
  }
}

void placement_map(const PlacementMapSpec& spec, const StudyGround& ground, Study& study, Faults& faults) {
  std::optional<StudyMeasure> measure;
  if (spec.judge_by && spec.judge_by->index() == 0) {
    const auto& name = std::get<0>(*spec.judge_by);
    std::vector<std::string> known;
    for (const StudyMeasure& one : study.judge) {
      known.push_back(one.name);
      if (one.name == name.value) measure = one;
    }
    if (!measure) faults.add(name.location, build::unknown_name("measure", name.value, known));
  } else if (spec.judge_by) {
    const JudgeSpec& own = std::get<1>(*spec.judge_by);
    if (own.measure == fits_the_opening)
      faults.add(own.at("measure"),
                 "a placement map needs a measure with a value; fits_the_opening is pass/fail");
    else if (own.sound())
      measure = study_measure(own, study.scene, *study.present.scene, faults);
  }
  auto points = points_over(spec.driver, spec.grid, spec.with, ground, faults);
  if (points && measure)
    study.placement_map = PlacementMapRequest{std::move(*points), spec.grid.over.value, spec.grid.spacing_m,
                                              std::move(*measure)};
}

void fill(const StudySpec& spec, Study& study, Faults& faults) {
  const Scene& scene = *study.present.scene;
  std::string preset;
  if (!spec.preset.value.empty()) {
    const int found = build::position_of(scene.presets, spec.preset.value);
    if (found < 0)
      faults.add(spec.preset.location,
                 build::unknown_name("preset", spec.preset.value, build::names_of(scene.presets)));
    study.preset = std::max(0, found);
    if (found > 0) preset = spec.preset.value;
  }
  const StudyGround ground{
      study.scene,        scene, length_unit_of(study.scene).value_or(1), preset, study.scene_path,
      study.model_folders};
  study.axes = study_axes(spec, ground, faults);
  judge(spec, study, faults);
  if (spec.before_judging && spec.before_judging->index() == 1)
    study.before_judging = before_judging(std::get<1>(*spec.before_judging), scene, faults);
  if (spec.uncertainty) study.uncertainty = uncertainty_of(*spec.uncertainty, faults);
  if (spec.placement_map && spec.sound("paint")) placement_map(*spec.placement_map, ground, study, faults);

  study.listed = spec.combine == Combine::listed;
  if (study.listed && spec.combinations.empty() && spec.sound("combinations"))
    faults.add(spec.at("combine"), "key 'combinations' is missing: combine: listed needs it");
  if (!study.listed && !spec.combinations.empty())
    faults.add(spec.at("combinations"), "combinations need combine: listed");
  // After a faulty axis, combinations that name it are not reported too.
  if (study.listed && !faults.any())
    study.combinations = study_combinations(spec.combinations, study.axes, faults);
  if (study.axes.empty() && !spec.placement_map && !faults.any())
    faults.add(spec.location, "the study varies nothing: give move, vary or paint");
  if (spec.judge.empty() && spec.sound("judge") && !spec.placement_map)
    faults.add(spec.location,
               fmt::format("key 'judge' is missing: give the measures that rank the variants, from {}",
                           joined_by_commas(measure_names())));
}

}  // namespace

StudyFile read_study_text(const std::string& text, const std::string& file,
                          std::vector<std::string> model_folders) {
  StudyFile result;
  const Node root = parse_document(text, file, result.faults);
  if (root.kind() == NodeKind::null) return result;
  Study study;
  study.path = file;
  study.source = text;
  study.model_folders = std::move(model_folders);
  const bool has_scene = read_scene(root, file, study, result.faults);
  // Positions without a unit are in the scene's length unit.
  Reading reading{result.faults, has_scene ? length_unit_of(study.scene) : std::optional<double>(1)};
  const StudySpec spec = study_keys().read(root, reading);
  if (!has_scene || root.kind() != NodeKind::mapping) return result;

  study.title = spec.title;
  study.skip_impossible = spec.skip_impossible;
  study.most_variants = static_cast<std::uint64_t>(spec.most_variants);
  fill(spec, study, result.faults);
  if (!result.faults.any()) result.study = std::move(study);
  return result;
}

StudyFile read_study_file(const std::string& path, std::vector<std::string> model_folders) {
  StudyFile result;
  const std::string text = read_text_file(path, result.faults);
  if (result.faults.any()) return result;
  return read_study_text(text, path, std::move(model_folders));
}

}  // namespace cabinfield
