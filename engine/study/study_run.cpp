#include "study/study_run.h"

#include <fmt/format.h>

#include <optional>

#include "base/fault.h"
#include "listening/verdict.h"
#include "study/checkpoint.h"
#include "study/study_key.h"
#include "study/study_stages.h"

namespace cabinfield {
namespace {

/// Faults of choices that are reported at once.
constexpr std::size_t max_reported = 20;

/// Builds every choice on its own, so that all impossible ones are reported before the work begins.
void check_choices(StudyWorkspace& with) {
  const Study& study = with.study;
  if (study.skip_impossible) return;
  std::vector<Fault> faults;
  for (std::size_t a = 0; a < study.axes.size(); ++a)
    for (std::size_t c = 0; c < study.axes[a].count() && faults.size() < max_reported; ++c) {
      // Points of a grid were chosen where a driver can be.
      if (study.axes[a].points && c > 0) break;
      for (const Fault& fault : with.scenes.choice(a, c).faults)
        faults.push_back({fault.location, fmt::format("{} {}: {}", study.axes[a].name, study.axes[a].label(c),
                                                      fault.message)});
    }
  if (!faults.empty()) throw InputError(std::move(faults));
}

}  // namespace

StudyOutcome run_study(const Study& study, const StudyOptions& options, const Communicator& communicator,
                       const StudyProgressCallback& progress) {
  std::optional<Checkpoint> checkpoint;
  if (communicator.first()) {
    checkpoint.emplace(options.checkpoint);
    const std::string key = study_key(study) + fmt::format(" {}", options.leading);
    switch (checkpoint->found(key)) {
      case Checkpoint::Found::same_work:
        checkpoint->resume();
        break;
      case Checkpoint::Found::other_work:
        if (!options.start_over)
          throw OtherWork(fmt::format(
              "{} is the checkpoint of another study, scene or version of the program: remove it, or discard "
              "it with --start-over",
              options.checkpoint));
        checkpoint->start(key);
        break;
      case Checkpoint::Found::foreign:
        throw OtherWork(
            fmt::format("{} exists and is not a checkpoint: rename or move it", options.checkpoint));
      case Checkpoint::Found::nothing:
        checkpoint->start(key);
    }
  }

  StudyPieces pieces(checkpoint ? &*checkpoint : nullptr, communicator, progress);
  StudyWorkspace workspace(study, pieces);
  check_choices(workspace);
  workspace.find_common_level();
  StudyOutcome outcome;
  evaluate_variants(workspace, outcome);
  if (study.placement_map) evaluate_placement_map(workspace, outcome);
  for (std::size_t variant : ranking(outcome.score))
    if (outcome.score[variant].broken != impossible_mark) outcome.ranking.push_back(variant);
  evaluate_leading(workspace, options.leading, outcome);
  outcome.cabins_solved = workspace.cache.cabins_solved();
  return outcome;
}

}  // namespace cabinfield
