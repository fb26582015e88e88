// The pieces that a study run is split into: each is computed by one process, shared with all and stored in
// the checkpoint, so that an interrupted run resumes after the last stored piece.
#pragma once

#include <chrono>
#include <cstdint>
#include <set>
#include <utility>
#include <vector>

#include "study/checkpoint.h"
#include "study/communicator.h"
#include "study/study_progress.h"

namespace cabinfield {

class StudyPieces {
 public:
  /// `checkpoint` is null in all processes but the first. All must outlive this.
  StudyPieces(Checkpoint* checkpoint, const Communicator& communicator, const StudyProgressCallback& progress)
      : checkpoint_(checkpoint), communicator_(communicator), progress_(progress) {
    std::vector<double> stored;
    if (communicator_.first())
      for (std::uint64_t number : checkpoint_->numbers()) stored.push_back(static_cast<double>(number));
    communicator_.share_first(stored);
    for (double number : stored) stored_.insert(static_cast<std::uint64_t>(number));
  }

  /// Values of a piece, the same in every process, and whether they were read from the checkpoint. Every
  /// process must ask for the same pieces in the same order; `compute` runs in one of them.
  template <typename Compute>
  std::pair<std::vector<double>, bool> piece(std::uint64_t number, const Compute& compute) {
    std::vector<double> values;
    if (stored_.contains(number)) {
      if (communicator_.first()) values = checkpoint_->read(number);
      communicator_.share_first(values);
      return {std::move(values), true};
    }
    const std::uint64_t order = computed_++;
    if (communicator_.mine(order)) values = compute();
    communicator_.share(order, values);
    if (communicator_.first()) checkpoint_->add(number, values);
    return {std::move(values), false};
  }

  void begin_stage(const char* doing, std::uint64_t of) {
    now_ = {doing, 0, of, 0, 0};
    begun_ = Clock::now();
  }
  void advance(std::uint64_t done, bool from_checkpoint) {
    now_.done += done;
    if (from_checkpoint) now_.done_before += done;
    now_.seconds = std::chrono::duration<double>(Clock::now() - begun_).count();
    if (progress_) progress_(now_);
  }

 private:
  using Clock = std::chrono::steady_clock;

  Checkpoint* checkpoint_;
  const Communicator& communicator_;
  const StudyProgressCallback& progress_;
  std::set<std::uint64_t> stored_;  // pieces of an earlier run
  std::uint64_t computed_ = 0;
  StudyProgress now_;
  Clock::time_point begun_;
};

}  // namespace cabinfield
