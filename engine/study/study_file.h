// From a study file to a study.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/fault.h"
#include "study/study.h"

namespace cabinfield {

/// A study, or what is wrong with its file or its scene's.
struct StudyFile {
  std::optional<Study> study;  ///< empty where there are faults
  Faults faults;
};

/// Reads the study and the scene that it names, from the study's own folder; models are looked for beside the
/// scene, then in `model_folders`. Never throws for a bad file. How many variants there are is no fault:
/// Study::over_the_limit tells.
StudyFile read_study_file(const std::string& path,
                          std::vector<std::string> model_folders = standard_model_folders());

/// The same for text already at hand, called `file` in messages.
StudyFile read_study_text(const std::string& text, const std::string& file,
                          std::vector<std::string> model_folders = standard_model_folders());

}  // namespace cabinfield
