// The measures of a study file.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "listening/judge.h"
#include "listening/measure_kinds.h"
#include "scene/scene.h"
#include "study/study_specs.h"

namespace cabinfield {

/// The name of the pass/fail check that every driver fits its opening.
inline constexpr const char* fits_the_opening = "fits_the_opening";

/// A column of the tables: what is measured, and how it counts.
struct StudyMeasure {
  std::string name;
  MeasureOptions options;  ///< seats and channels are those of the scene as drawn
  Judgement judgement;
  SourceLocation location;
};

/// Names of all measures, and of the pass/fail checks.
std::vector<std::string> measure_names();

/// Faults: unknown names, measures that cannot be judged (measure_problems), keys that the measure does not
/// take, an aim for several seats of a measure that needs one seat, measures that are not supported yet.
/// Empty after a fault. `document` is that of the scene, the only one with groups of channels.
std::optional<StudyMeasure> study_measure(const JudgeSpec& spec, const Node& document, const Scene& scene,
                                          Faults& faults);

/// A band [from, to] in Hz; a fault if the scene's frequencies do not cover it (band_problem).
std::optional<FrequencyRange> study_band(const std::vector<double>& band_hz, const SourceLocation& location,
                                         const std::string& owner, const Scene& scene, Faults& faults);

/// Indices into Scene::seats; unknown names are faults.
std::vector<int> seat_indices(const std::vector<Located<std::string>>& seats, const Scene& scene,
                              Faults& faults);

/// Indices into Scene::channels of channels and group members, each once; unknown names are faults.
std::vector<int> channel_indices(const std::vector<Located<std::string>>& names, const Node& document,
                                 const Scene& scene, Faults& faults);

}  // namespace cabinfield
