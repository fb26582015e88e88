// Loops over several processes, for libraries that keep hidden state and so cannot work in two threads.
#pragma once

#include <cstddef>
#include <functional>
#include <span>

namespace cabinfield {

/// Numbers that a process and its children see alike.
class SharedNumbers {
 public:
  /// Throws std::bad_alloc.
  explicit SharedNumbers(std::size_t count);
  ~SharedNumbers();
  SharedNumbers(const SharedNumbers&) = delete;
  SharedNumbers& operator=(const SharedNumbers&) = delete;

  std::span<double> values() { return {data_, count_}; }

 private:
  double* data_ = nullptr;
  std::size_t count_ = 0;
};

/// Calls body(i) for i in [0, count), each i once, in as many processes as loops may have threads (this one
/// among them). What a body found goes into SharedNumbers: of all else that it changes nothing comes back.
/// Which process takes which i is chance; what it finds must not depend on it. Call it outside parallel
/// loops; those in a body run on one thread, a library's too. Where a child cannot be started or dies, its
/// share is done here. The exception of a body here is thrown again, after the others have ended.
void process_for(std::size_t count, const std::function<void(std::size_t)>& body);

}  // namespace cabinfield
