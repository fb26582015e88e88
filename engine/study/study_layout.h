// Layout of a study's results file, one entry a dataset; FORMAT.md in this folder describes it.
#pragma once

#include <string>
#include <vector>

#include "output/layout.h"
#include "study/study.h"
#include "study/study_outcome.h"

namespace cabinfield {

struct StudyDataset {
  std::string path;
  std::vector<std::string> axes;
  std::string units;  ///< as in LayoutEntry
  std::string long_name;
  DatasetValues values;

  bool is_axis() const { return axes.size() == 1 && path == "/" + axes.front(); }
};

/// In the order of writing, each axis before its first use; datasets without a value are omitted.
std::vector<StudyDataset> study_datasets(const Study& study, const StudyOutcome& outcome);

/// Writes the file, whole or not at all. Throws MachineError.
void write_study(const Study& study, const StudyOutcome& outcome, const std::string& path);

}  // namespace cabinfield
