#include <fmt/format.h>

#include <memory>

#include "input/scene_keys.h"
#include "study/study_keys.h"
#include "verbs.h"

namespace cabinfield::command {

Run add_keys(CLI::App& app) {
  CLI::App* verb =
      app.add_subcommand("keys", "print every key of scene, model and study files, with its kind and limits");
  auto options = std::make_shared<CommonOptions>();
  add_common(*verb, *options);
  verb->footer("Example:\n  cabinfield keys");
  return [options] {
    if (!options->quiet) fmt::print("{}\n{}", scene_key_reference(), study_key_reference());
    return 0;
  };
}

}  // namespace cabinfield::command
