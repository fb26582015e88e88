// What a study found, for the terminal.
#pragma once

#include <string>

#include "study/study.h"
#include "study/study_outcome.h"

namespace cabinfield::command {

/// The ranking with its doubt, what the best one changes against the present one, what each channel adds,
/// what was impossible, and the best painted spots.
std::string study_summary(const Study& study, const StudyOutcome& outcome, bool all);

}  // namespace cabinfield::command
