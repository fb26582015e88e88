// Several processes, on one machine or many, that share the pieces of a study. Each works out its own and
// tells all others, so all know the same; the first writes. Alone where the program was not started by an MPI
// launcher or was built without MPI (CABINFIELD_MPI).
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace cabinfield {

/// Begun once in a process, before anything else of the study; ends with it.
class Communicator {
 public:
  Communicator();
  Communicator(const Communicator&) = delete;
  Communicator& operator=(const Communicator&) = delete;
  ~Communicator();

  int rank() const { return rank_; }
  int size() const { return size_; }
  bool first() const { return rank_ == 0; }
  /// Whether this process works the piece out. `order` counts the pieces that are not done yet.
  bool mine(std::uint64_t order) const {
    return static_cast<int>(order % static_cast<std::uint64_t>(size_)) == rank_;
  }
  /// Values of a piece from who worked it out, to all.
  void share(std::uint64_t order, std::vector<double>& values) const;
  /// The first one's, to all.
  void share_first(std::vector<double>& values) const;
  /// Tells the others that this process cannot go on, and ends them.
  [[noreturn]] void abandon(int status) const;

 private:
  int rank_ = 0, size_ = 1;
};

}  // namespace cabinfield
