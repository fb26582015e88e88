// The commands of the program, a file each. Each adds its options to the application and returns its exit
// status when run.
#pragma once

#include <CLI/CLI.hpp>
#include <functional>

namespace cabinfield::command {

/// Options that every command takes.
struct CommonOptions {
  int threads = 0;  ///< 0: as many as the machine has
  bool quiet = false;
};

using Run = std::function<int()>;

void add_common(CLI::App& verb, CommonOptions& options);
Run add_start(CLI::App& app);
Run add_check(CLI::App& app);
Run add_predict(CLI::App& app);
Run add_study(CLI::App& app);
Run add_report(CLI::App& app);
Run add_keys(CLI::App& app);

}  // namespace cabinfield::command
