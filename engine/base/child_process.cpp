#include "base/child_process.h"

#include <fcntl.h>
#include <omp.h>
#include <poll.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstdlib>

namespace cabinfield {
namespace {

bool write_all(int to, const std::string& bytes) {
  std::size_t at = 0;
  while (at < bytes.size()) {
    const ssize_t written = write(to, bytes.data() + at, bytes.size() - at);
    if (written < 0 && errno == EINTR) continue;
    if (written <= 0) return false;
    at += static_cast<std::size_t>(written);
  }
  return true;
}

[[noreturn]] void live_as_child(const std::function<std::string()>& work, int to, pid_t parent) {
  become_quiet_child(parent);
  int status = EXIT_FAILURE;
  try {
    if (write_all(to, work())) status = EXIT_SUCCESS;
  } catch (...) {
  }
  // Run nothing of the parent's: no destructors, no flushing of its open streams.
  _exit(status);
}

/// True at the end of the stream, false after the time limit.
bool read_all(int from, std::string& bytes, double time_limit_s) {
  using Clock = std::chrono::steady_clock;
  const auto deadline = Clock::now() + std::chrono::duration<double>(time_limit_s);
  std::array<char, 1 << 16> buffer;
  for (;;) {
    const std::chrono::duration<double, std::milli> left = deadline - Clock::now();
    if (left.count() <= 0) return false;
    pollfd watched{from, POLLIN, 0};
    const int ready = poll(&watched, 1, static_cast<int>(std::clamp(left.count(), 1.0, 1e6)));
    if (ready < 0 && errno != EINTR) return true;
    if (ready <= 0) continue;
    const ssize_t got = read(from, buffer.data(), buffer.size());
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0) return true;
    bytes.append(buffer.data(), static_cast<std::size_t>(got));
  }
}

}  // namespace

void become_quiet_child(pid_t parent) {
  prctl(PR_SET_PDEATHSIG, SIGKILL);
  if (getppid() != parent) _exit(EXIT_FAILURE);
  // The parent's other threads do not exist here: a loop that waits for them would wait for ever.
  // This also limits libraries that request their own number of threads.
  omp_set_max_active_levels(0);
  const rlimit none{0, 0};
  setrlimit(RLIMIT_CORE, &none);
  for (int signal : {SIGINT, SIGTERM, SIGQUIT, SIGHUP, SIGPIPE, SIGSEGV, SIGABRT, SIGFPE, SIGBUS, SIGILL})
    std::signal(signal, SIG_DFL);
  const int nowhere = open("/dev/null", O_RDWR);
  for (int stream : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) dup2(nowhere, stream);
}

ChildOutcome in_child(const std::function<std::string()>& work, double time_limit_s) {
  ChildOutcome outcome;
  std::array<int, 2> ends{};
  if (pipe2(ends.data(), O_CLOEXEC) != 0) return outcome;
  const pid_t parent = getpid();
  const pid_t child = fork();
  if (child < 0) {
    close(ends[0]);
    close(ends[1]);
    return outcome;
  }
  if (child == 0) {
    close(ends[0]);
    live_as_child(work, ends[1], parent);
  }
  close(ends[1]);
  const bool ended = read_all(ends[0], outcome.bytes, time_limit_s);
  close(ends[0]);
  if (!ended) kill(child, SIGKILL);
  int status = 0;
  while (waitpid(child, &status, 0) < 0 && errno == EINTR) {
  }
  if (!ended)
    outcome.end = ChildOutcome::End::timed_out;
  else if (WIFEXITED(status) && WEXITSTATUS(status) == EXIT_SUCCESS)
    outcome.end = ChildOutcome::End::done;
  else
    outcome.end = ChildOutcome::End::crashed;
  if (outcome.end != ChildOutcome::End::done) outcome.bytes.clear();
  return outcome;
}

}  // namespace cabinfield
