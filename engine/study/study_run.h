// From a study to what it found.
#pragma once

#include <functional>
#include <string>

#include "study/communicator.h"
#include "study/study.h"
#include "study/study_outcome.h"

namespace cabinfield {

struct StudyOptions {
  std::string checkpoint;    ///< file that keeps what is done so far; removed by who takes the outcome
  bool start_over = false;   ///< throw away what another study or version left there
  std::size_t leading = 20;  ///< variants looked at closely
};

/// How far it is, for people who wait.
struct StudyProgress {
  std::string doing;  ///< "variants", "points", "draws"
  std::uint64_t done = 0, of = 0;
  double seconds = 0;             ///< since this part began, of what was done in this run
  std::uint64_t done_before = 0;  ///< by a run before
};

/// There is work of something else in the journal; says of what.
class OtherWork : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// Works through a study in fixed pieces, each kept in the journal: the same numbers to the last bit for any
/// number of threads or of processes in the crew (all of which must call it; the first keeps the journal),
/// and however often it was stopped and begun again. Throws InputError for impossible variants where the
/// study does not skip them, CheckpointInUse, OtherWork, MachineError.
StudyOutcome run_study(const Study& study, const StudyOptions& options, const Communicator& communicator,
                       const std::function<void(const StudyProgress&)>& progress = {});

/// What the journal of this study is known by: study, scene, models and program. Another key: other work.
std::string study_key(const Study& study);

}  // namespace cabinfield
