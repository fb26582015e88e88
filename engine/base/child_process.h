// Work in a separate process, so that a crash, a hang or a leak in a library does not affect this one.
#pragma once

#include <functional>
#include <string>

namespace cabinfield {

struct ChildOutcome {
  enum class End { done, crashed, timed_out, not_started } end = End::not_started;
  std::string bytes;  ///< what the work returned, if done
};

/// Forks, runs `work` in the child and returns its bytes. The child prints nothing, dumps no core, dies with
/// its parent, and is killed after the time limit. An exception in the child counts as a crash. Loops in the
/// child run on one thread, in libraries too: the parent's threads do not exist there.
ChildOutcome in_child(const std::function<std::string()>& work, double time_limit_s);

/// First call in a child: no output, no core dump, death with its parent, one thread.
void become_quiet_child(int parent_process);

}  // namespace cabinfield
