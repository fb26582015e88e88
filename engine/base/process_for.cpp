#include "base/process_for.h"

#include <omp.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <cerrno>
#include <cstdlib>
#include <exception>
#include <new>
#include <vector>

#include "base/child_process.h"

namespace cabinfield {
namespace {

void* shared_memory(std::size_t bytes) {
  void* start = mmap(nullptr, std::max<std::size_t>(bytes, 1), PROT_READ | PROT_WRITE,
                     MAP_SHARED | MAP_ANONYMOUS | MAP_NORESERVE, -1, 0);
  if (start == MAP_FAILED) throw std::bad_alloc();
  return start;
}

/// Shared state of the processes: shares taken and shares done.
class Agreement {
 public:
  explicit Agreement(std::size_t count)
      : count_(count), state_(static_cast<std::atomic<int>*>(shared_memory((count + 1) * sizeof(int)))) {
    static_assert(std::atomic<int>::is_always_lock_free && sizeof(std::atomic<int>) == sizeof(int));
  }
  ~Agreement() { munmap(state_, (count_ + 1) * sizeof(int)); }
  Agreement(const Agreement&) = delete;
  Agreement& operator=(const Agreement&) = delete;

  /// The next share to take; `count` or more at the end.
  std::size_t next() { return static_cast<std::size_t>(state_[count_].fetch_add(1)); }
  void mark_done(std::size_t i) { state_[i] = 1; }
  bool done(std::size_t i) const { return state_[i] == 1; }

 private:
  std::size_t count_;
  std::atomic<int>* state_;
};

}  // namespace

SharedNumbers::SharedNumbers(std::size_t count)
    : data_(static_cast<double*>(shared_memory(count * sizeof(double)))), count_(count) {}

SharedNumbers::~SharedNumbers() { munmap(data_, std::max<std::size_t>(count_ * sizeof(double), 1)); }

void process_for(std::size_t count, const std::function<void(std::size_t)>& body) {
  Agreement agreement(count);
  auto work = [&] {
    for (std::size_t i = agreement.next(); i < count; i = agreement.next()) {
      body(i);
      agreement.mark_done(i);
    }
  };
  const std::size_t processes =
      omp_in_parallel() != 0 ? 1 : std::min(count, static_cast<std::size_t>(omp_get_max_threads()));
  std::vector<pid_t> children;
  const pid_t parent = getpid();
  for (std::size_t p = 1; p < processes; ++p) {
    const pid_t child = fork();
    if (child < 0) break;
    if (child == 0) {
      become_quiet_child(parent);
      int status = EXIT_FAILURE;
      try {
        work();
        status = EXIT_SUCCESS;
      } catch (...) {
      }
      _exit(status);
    }
    children.push_back(child);
  }
  std::exception_ptr failure;
  const int levels = omp_get_max_active_levels();
  omp_set_max_active_levels(0);  // the children use the other cores
  try {
    work();
  } catch (...) {
    failure = std::current_exception();
  }
  omp_set_max_active_levels(levels);
  for (pid_t child : children)
    while (waitpid(child, nullptr, 0) < 0 && errno == EINTR) {
    }
  if (failure) std::rethrow_exception(failure);
  // Shares of children that died or threw are done here, where an exception can be reported.
  for (std::size_t i = 0; i < count; ++i)
    if (!agreement.done(i)) body(i);
}

}  // namespace cabinfield
