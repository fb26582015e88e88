// How far a study run has got.
#pragma once

#include <cstdint>
#include <functional>
#include <string>

namespace cabinfield {

struct StudyProgress {
  std::string doing;  ///< what is counted: "variants", "points", "samples"
  std::uint64_t done = 0, of = 0;
  double seconds = 0;             ///< since this stage began, spent on what this run did
  std::uint64_t done_before = 0;  ///< read from the checkpoint of an earlier run
};

/// Never called concurrently.
using StudyProgressCallback = std::function<void(const StudyProgress&)>;

}  // namespace cabinfield
