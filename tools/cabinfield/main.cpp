// cabinfield VERB FILE… : see verbs.h.
#include <fmt/format.h>
#include <omp.h>

#include <new>

#include "base/fault.h"
#include "terminal.h"
#include "verbs.h"

namespace command = cabinfield::command;

namespace {

int run(int argc, char** argv) {
  CLI::App app("What each seat of a car will hear, before a panel is cut.", "cabinfield");
  app.set_version_flag("--version", fmt::format("cabinfield {} ({})", CABINFIELD_VERSION, CABINFIELD_BUILD));
  app.require_subcommand(1);
  const std::pair<std::string, command::Run> verbs[] = {
      {"check", command::add_check(app)}, {"predict", command::add_predict(app)}, {"keys", command::add_keys(app)}};
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

}  // namespace

int main(int argc, char** argv) {
  try {
    return run(argc, argv);
  } catch (const cabinfield::InputError& error) {
    fmt::print(stderr, "{}\n", error.what());
    return command::input_wrong;
  } catch (const cabinfield::MachineError& error) {
    fmt::print(stderr, "{}\n", error.what());
    return command::machine_failed;
  } catch (const std::bad_alloc&) {
    fmt::print(stderr, "not enough memory for this scene: use fewer frequencies, seats or drivers\n");
    return command::machine_failed;
  } catch (const std::exception& error) {
    fmt::print(stderr, "cabinfield failed in itself, which is a fault of the program and not of the scene: {}\n", error.what());
    return command::machine_failed;
  }
}
