// What a study judges its variants by, from its file.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "listening/judge.h"
#include "listening/measure_kinds.h"
#include "scene/scene.h"
#include "study/study_specs.h"

namespace cabinfield {

/// The word for the rule that every driver fits its opening, which is no measure with a value.
inline constexpr const char* fits_the_opening = "fits_the_opening";

/// A column of the tables: what is measured, and what it counts for.
struct StudyMeasure {
  std::string name;
  MeasureOptions options;  ///< seats and channels are those of the scene as drawn
  Judgement judgement;
  SourceLocation location;
};

/// The words of all kinds of measures, and of rules without a value.
std::vector<std::string> measure_names();

/// Faults: names that the scene does not have, whatever cannot be judged (measure_problems), what the kind
/// cannot take, an aim for several seats where it is not for each, kinds that are not supported yet. Empty
/// after a fault. `document` is that of the scene: groups of channels stand there alone.
std::optional<StudyMeasure> study_measure(const JudgeSpec& spec, const Node& document, const Scene& scene,
                                          Faults& faults);

/// A band [from, to] in hertz; fault where it cannot be judged on the scene's frequencies (band_problem).
std::optional<FrequencyRange> study_band(const std::vector<double>& band_hz, const SourceLocation& location,
                                         const std::string& owner, const Scene& scene, Faults& faults);

/// Positions in Scene::seats; unknown names are faults.
std::vector<int> seat_indices(const std::vector<Located<std::string>>& seats, const Scene& scene,
                              Faults& faults);

/// Positions in Scene::channels of channels and of the members of groups, each once; unknown names are
/// faults.
std::vector<int> channel_indices(const std::vector<Located<std::string>>& names, const Node& document,
                                 const Scene& scene, Faults& faults);

}  // namespace cabinfield
