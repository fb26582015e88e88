// The declared keys of study files.
#pragma once

#include "input/keys.h"
#include "study/study_specs.h"

namespace cabinfield {

const Keys<StudySpec>& study_keys();

/// Every key of study files as plain text: section, key, kind and limits, help.
std::string study_key_reference();

}  // namespace cabinfield
