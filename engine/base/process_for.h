// Loops over several processes, for libraries whose hidden state prevents use from several threads.
#pragma once

#include <cstddef>
#include <functional>
#include <span>

namespace cabinfield {

/// Numbers in memory shared by a process and its children.
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

/// Calls body(i) for i in [0, count), each i once, in as many processes (including this one) as loops may
/// have threads. Results must go into SharedNumbers; all other side effects are lost. Which process does
/// which i is not determined, and results must not depend on it. Call it outside parallel loops; loops inside
/// a body run on one thread, in libraries too. If a child cannot be started or dies, its share is done here.
/// An exception of a body in this process is rethrown after the others have ended.
void process_for(std::size_t count, const std::function<void(std::size_t)>& body);

}  // namespace cabinfield
