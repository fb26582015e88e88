#include <fmt/format.h>

#include "input/scene_file.h"
#include "results/prediction.h"
#include "summary.h"
#include "terminal.h"
#include "verbs.h"

namespace cabinfield::command {

void add_common(CLI::App& verb, CommonOptions& options) {
  verb.add_option("--threads", options.threads, "threads to use; results are the same for any number")
      ->check(CLI::Range(1, 1024));
  verb.add_flag("--quiet", options.quiet, "print faults only");
}

Run add_check(CLI::App& app) {
  struct Options : CommonOptions {
    std::string scene;
    bool all = false, propose = false;
  };
  auto options = std::make_shared<Options>();
  CLI::App* verb =
      app.add_subcommand("check", "read a scene, check it, print what can be said without solving it");
  verb->add_option("SCENE", options->scene, "scene file")->required();
  verb->add_flag("--all", options->all, "print everything");
  verb->add_flag(
      "--propose", options->propose,
      "print the outputs that would do where the scene leaves them open, ready to be copied into it");
  add_common(*verb, *options);
  verb->footer("Example:\n  cabinfield check scenes/hatchback.yaml");
  return [options]() -> int {
    const SceneFile file = read_scene_file(options->scene);
    print_faults(file.faults);
    if (!file.scene) return input_wrong;
    const Results results = predict_places(*file.scene);
    if (!options->quiet) {
      print_warnings(file.faults);
      fmt::print("{}{}", plan_summary(*file.scene, results, options->all),
                 system_summary(*file.scene, results, options->all, options->propose));
    }
    return any_violated(results.checks) ? rule_violated : done;
  };
}

}  // namespace cabinfield::command
