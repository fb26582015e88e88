// cabinfield VERB FILE… : see verbs.h.
#include <fmt/format.h>
#include <omp.h>

#include <algorithm>
#include <cerrno>
#include <csignal>
#include <cstdio>
#include <cstring>
#include <new>

#include "base/fault.h"
#include "base/kept_memory.h"
#include "base/nearest_name.h"
#include "base/quoted.h"
#include "terminal.h"
#include "verbs.h"

namespace command = cabinfield::command;

namespace {

int run(int argc, char** argv) {
  CLI::App app("Predicts what each seat of a car will hear, before a panel is cut.", "cabinfield");
  app.set_version_flag("--version", fmt::format("cabinfield {} ({})", CABINFIELD_VERSION, CABINFIELD_BUILD));
  app.require_subcommand(1);
  const std::pair<std::string, command::Run> verbs[] = {
      {"start", command::add_start(app)},     {"check", command::add_check(app)},
      {"predict", command::add_predict(app)}, {"study", command::add_study(app)},
      {"report", command::add_report(app)},   {"keys", command::add_keys(app)}};
  if (argc > 1 && argv[1][0] != '-') {
    std::vector<std::string> known;
    for (const auto& [name, verb] : verbs) known.push_back(name);
    if (std::find(known.begin(), known.end(), argv[1]) == known.end()) {
      const std::string hint = cabinfield::nearest_name_hint(argv[1], known);
      fmt::print(stderr, "unknown verb {}{} known: {}\n", cabinfield::quoted(argv[1]),
                 hint.empty() ? ";" : hint, fmt::join(known, ", "));
      return command::input_wrong;
    }
  }
  try {
    app.parse(argc, argv);
  } catch (const CLI::Success& help) {
    return app.exit(help);
  } catch (const CLI::ParseError& error) {
    app.exit(error);
    return command::input_wrong;
  }
  for (const auto& [name, verb] : verbs)
    if (app.got_subcommand(name)) return verb();
  return command::input_wrong;
}

/// Where the screen takes no more, the status still tells.
void say(const std::string& words) { std::fputs(words.c_str(), stderr); }

}  // namespace

int main(int argc, char** argv) {
  cabinfield::keep_freed_memory();
  // A file that grows beyond a limit is an error to report, not a signal to die of.
  std::signal(SIGXFSZ, SIG_IGN);
  try {
    const int status = run(argc, argv);
    if (std::fflush(stdout) == 0) return status;
    say(fmt::format("the summary cannot be printed: {}\n", std::strerror(errno)));
    return command::machine_failed;
  } catch (const cabinfield::InputError& error) {
    say(fmt::format("{}\n", error.what()));
    return command::input_wrong;
  } catch (const cabinfield::MachineError& error) {
    say(fmt::format("{}\n", error.what()));
    return command::machine_failed;
  } catch (const std::bad_alloc&) {
    say("not enough memory for this scene: use fewer frequencies, seats or drivers\n");
    return command::machine_failed;
  } catch (const std::exception& error) {
    say(fmt::format("internal error: this is a fault of cabinfield, not of the scene: {}\n", error.what()));
    return command::machine_failed;
  }
}
