// What identifies the work of a study in its checkpoint.
#pragma once

#include <string>

#include "study/study.h"

namespace cabinfield {

/// Path of the study, version of the program, and a hash of study, scene and model files. A checkpoint with
/// another key holds other work.
std::string study_key(const Study& study);

}  // namespace cabinfield
