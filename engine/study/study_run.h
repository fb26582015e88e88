// Runs a study: from the study to its outcome.
#pragma once

#include <stdexcept>
#include <string>

#include "study/communicator.h"
#include "study/study.h"
#include "study/study_outcome.h"
#include "study/study_progress.h"

namespace cabinfield {

struct StudyOptions {
  std::string checkpoint;    ///< file of the work done so far; whoever writes the outcome removes it
  bool start_over = false;   ///< discard the checkpoint of another study or version
  std::size_t leading = 20;  ///< variants that get a closer look
};

/// The checkpoint belongs to other work; the message says which file and what to do.
class OtherWork : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// Evaluates a study in fixed pieces and stores each in the checkpoint: the same numbers to the last bit for
/// any number of threads, of processes of the communicator (all must call it; the first holds the
/// checkpoint) and of interruptions. Throws InputError for impossible variants where the study does not skip
/// them, CheckpointInUse, OtherWork, MachineError.
StudyOutcome run_study(const Study& study, const StudyOptions& options, const Communicator& communicator,
                       const StudyProgressCallback& progress = {});

}  // namespace cabinfield
