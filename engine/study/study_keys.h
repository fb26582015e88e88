// The declared keys of study files.
#pragma once

#include "input/keys.h"
#include "study/study_specs.h"

namespace cabinfield {

const Keys<StudySpec>& study_keys();

/// Reference of all study keys as plain text: section, key, kind and limits, help.
std::string study_key_reference();

}  // namespace cabinfield
