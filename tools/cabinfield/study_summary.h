// The result of a study, for the terminal.
#pragma once

#include <string>

#include "study/study.h"
#include "study/study_outcome.h"

namespace cabinfield::command {

/// The ranking with its uncertainty, broken limits, what each channel adds, the best points of the placement
/// map, and the impossible variants.
std::string study_summary(const Study& study, const StudyOutcome& outcome, bool all);

}  // namespace cabinfield::command
