#include <fmt/format.h>

#include "input/scene_keys.h"
#include "verbs.h"

namespace cabinfield::command {

Run add_keys(CLI::App& app) {
  CLI::App* verb = app.add_subcommand("keys", "print every key of scene and model files, with its kind and limits");
  verb->footer("Example:\n  cabinfield keys");
  return [] {
    fmt::print("{}", scene_key_reference());
    return 0;
  };
}

}  // namespace cabinfield::command
