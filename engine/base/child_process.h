// Work in a process of its own, so that a crash, a hang or a leak of a library stays there.
#pragma once

#include <functional>
#include <string>

namespace cabinfield {

struct ChildOutcome {
  enum class End { done, crashed, timed_out, not_started } end = End::not_started;
  std::string bytes;  ///< what the work returned, where it is done
};

/// Forks, runs `work` in the child and brings back its bytes. The child prints nothing, dumps no core, dies
/// with its parent, and is killed once the time is over. An exception in the child counts as a crash.
/// Loops run on one thread there, those of libraries too: the parent's threads do not exist in the child.
ChildOutcome in_child(const std::function<std::string()>& work, double time_limit_s);

/// What a child does first: prints nothing, dumps no core, dies with its parent, and has one thread.
void become_quiet_child(int parent_process);

}  // namespace cabinfield
