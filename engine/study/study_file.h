// Reads a study file.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/fault.h"
#include "study/study.h"

namespace cabinfield {

/// A study, or the faults of its file and of its scene.
struct StudyFile {
  std::optional<Study> study;  ///< empty if there are faults
  Faults faults;
};

/// Reads the study and the scene that it names, relative to the study's folder. Models are searched for
/// beside the scene, then in `model_folders`. Never throws for a bad file. Too many variants are not a fault:
/// see Study::over_the_limit.
StudyFile read_study_file(const std::string& path,
                          std::vector<std::string> model_folders = standard_model_folders());

/// The same for text already read; messages call it `file`.
StudyFile read_study_text(const std::string& text, const std::string& file,
                          std::vector<std::string> model_folders = standard_model_folders());

}  // namespace cabinfield
