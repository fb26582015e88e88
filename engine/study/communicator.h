// Processes on one machine or several that share the pieces of a study by MPI. Each computes its own pieces
// and broadcasts them, so that all have the same results; the first writes. A single process where the
// program was not started by an MPI launcher or was built without MPI (CABINFIELD_MPI).
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace cabinfield {

/// Create one in a process, before the study; it finalises MPI when it is destroyed.
class Communicator {
 public:
  Communicator();
  Communicator(const Communicator&) = delete;
  Communicator& operator=(const Communicator&) = delete;
  ~Communicator();

  int rank() const { return rank_; }
  int size() const { return size_; }
  bool first() const { return rank_ == 0; }
  /// Whether this process computes a piece. `order` counts the pieces that are computed in this run.
  bool mine(std::uint64_t order) const {
    return static_cast<int>(order % static_cast<std::uint64_t>(size_)) == rank_;
  }
  /// Broadcasts the values of a piece from the process that computed it to all.
  void share(std::uint64_t order, std::vector<double>& values) const;
  /// Broadcasts the values of the first process to all.
  void share_first(std::vector<double>& values) const;
  /// Ends all processes with this exit status.
  [[noreturn]] void abandon(int status) const;

 private:
  int rank_ = 0, size_ = 1;
};

}  // namespace cabinfield
