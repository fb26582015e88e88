#include <fmt/format.h>

#include <span>
#include <vector>

#include "command_files.h"
#include "fitting/fit_scene.h"
#include "input/document.h"
#include "input/scene_file.h"
#include "output/scene_picture.h"
#include "predict/prediction.h"
#include "storage/whole_file.h"
#include "summary.h"
#include "terminal.h"
#include "verbs.h"

namespace cabinfield::command {

void add_common(CLI::App& verb, CommonOptions& options) {
  verb.add_option("--threads", options.threads, "threads to use; results are the same for any number")
      ->check(CLI::Range(1, 1024));
  verb.add_flag("--quiet", options.quiet, "print only faults");
}

namespace {

/// Moves the scene to its tapes, prints what remains, writes the moved file where asked.
int fit_to_tapes(const std::string& path, const std::string& output, bool quiet) {
  Faults faults;
  const std::string text = read_text_file(path, faults);
  const auto fitted = faults.any() ? std::nullopt : fit_scene(text, path, faults);
  print_faults(faults);
  if (!fitted) return input_wrong;
  const bool sound = fitted->unsound.empty();
  if (!quiet) fmt::print("{}", fit_summary(*fitted, output));
  if (!sound) {
    std::fflush(stdout);
    for (const Fault& fault : fitted->unsound) fmt::print(stderr, "{}\n", to_string(fault));
    return input_wrong;
  }
  if (!output.empty()) write_whole_file(output, std::as_bytes(std::span(fitted->text)));
  return done;
}

}  // namespace

Run add_check(CLI::App& app) {
  struct Options : CommonOptions {
    std::string scene, picture, output;
    bool all = false, propose = false, fit_shape = false;
  };
  auto options = std::make_shared<Options>();
  CLI::App* verb =
      app.add_subcommand("check", "check a scene and print what needs no solution of the sound field");
  verb->add_option("SCENE", options->scene, "scene file")->required();
  verb->add_flag("--all", options->all, "print all checks and tables");
  verb->add_flag(
      "--propose", options->propose,
      "propose amplifier and processor outputs where the scene gives none, as lines to copy into it");
  CLI::Option* picture = verb->add_option(
      "--picture", options->picture,
      "draw side, front and plan view to scale, with drivers, marks and tapes, for printing (SVG)");
  CLI::Option* fit = verb->add_flag(
      "--fit-shape", options->fit_shape,
      "fit the body to its tapes; print the remaining differences and any tape that looks wrong");
  CLI::Option* output =
      verb->add_option("-o,--output", options->output, "with --fit-shape: file for the fitted scene")
          ->needs(fit);
  add_common(*verb, *options);
  verb->footer("Example:\n  cabinfield check scenes/hatchback.yaml");
  return [options, picture, output]() -> int {
    std::vector<WrittenFile> files;
    if (output->count() > 0)
      files.push_back({"--output", options->output, "the fitted scene", "the fitted scene to write"});
    if (picture->count() > 0)
      files.push_back({"--picture", options->picture, "the picture", "the picture to write"});
    if (!files_are_apart({{"", options->scene, "the scene file"}}, files)) return input_wrong;
    if (options->fit_shape && picture->count() > 0 && output->count() == 0) {
      fmt::print(stderr,
                 "--picture: with --fit-shape it draws the fitted scene, which also needs --output\n");
      return input_wrong;
    }
    if (!options->picture.empty()) check_writable(options->picture);
    if (options->fit_shape) {
      if (!options->output.empty()) check_writable(options->output);
      const int status = fit_to_tapes(options->scene, options->output, options->quiet);
      if (status != done || options->picture.empty()) return status;
    }
    const SceneFile file = read_scene_file(options->fit_shape ? options->output : options->scene);
    print_faults(file.faults);
    if (!file.scene) return input_wrong;
    if (!options->picture.empty()) {
      const std::string drawing = scene_picture(*file.scene);
      write_whole_file(options->picture, std::as_bytes(std::span(drawing)));
    }
    const Results results = predict_without_field(*file.scene);
    if (!options->quiet) {
      print_warnings(file.faults);
      fmt::print("{}{}", plan_summary(*file.scene, results, options->all),
                 system_summary(*file.scene, results, options->all, options->propose));
    }
    return any_violated(results.checks) ? rule_violated : done;
  };
}

}  // namespace cabinfield::command
