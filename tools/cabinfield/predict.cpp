#include <fmt/format.h>
#include <omp.h>

#include <filesystem>
#include <system_error>

#include "input/scene_file.h"
#include "results/impulse_responses.h"
#include "results/prediction.h"
#include "results/whole_file.h"
#include "results/write_results.h"
#include "summary.h"
#include "terminal.h"
#include "verbs.h"

namespace cabinfield::command {

Run add_predict(CLI::App& app) {
  struct Options : CommonOptions {
    std::string scene, output;
    std::string preset = "as_drawn";
    std::string impulse;
    bool all = false, keep_cabin = false;
  };
  auto options = std::make_shared<Options>();
  CLI::App* verb =
      app.add_subcommand("predict", "solve a scene: what each seat hears, to a results file and a summary");
  verb->add_option("SCENE", options->scene, "scene file")->required();
  verb->add_option("-o,--output", options->output, "results file to write (HDF5)")->required();
  verb->add_option("--preset", options->preset, "preset to print; the file holds all");
  verb->add_option(
          "--impulse", options->impulse,
          "also impulse responses at this sample rate: in the results, as WAV and as SOFA files beside them")
      ->check(CLI::IsMember({"48kHz", "96kHz"}));
  verb->add_flag(
      "--keep-cabin", options->keep_cabin,
      "keep the solved cabin in a file beside the results, and use one that is there: other drivers, "
      "channels, presets or materials then cost next to nothing");
  verb->add_flag("--all", options->all, "print everything");
  add_common(*verb, *options);
  verb->footer("Example:\n  cabinfield predict scenes/hatchback.yaml -o hatchback.h5");
  return [options]() -> int {
    if (options->output.empty()) {
      fmt::print(stderr, "--output: '' is no file name: give one, such as results.h5\n");
      return input_wrong;
    }
    const SceneFile file = read_scene_file(options->scene);
    print_faults(file.faults);
    if (!file.scene) return input_wrong;
    const int preset = preset_position(*file.scene, options->preset);
    if (preset < 0) return input_wrong;
    std::error_code not_there;
    if (std::filesystem::equivalent(options->scene, options->output, not_there)) {
      fmt::print(stderr, "--output: {} is the scene itself: give the results another name\n",
                 options->output);
      return input_wrong;
    }
    check_writable(options->output);
    if (options->threads > 0) omp_set_num_threads(options->threads);
    PredictionWish wish;
    if (options->keep_cabin) {
      const std::filesystem::path folder = std::filesystem::path(options->output).parent_path();
      wish.kept_cabin_folder = folder.empty() ? "." : folder.string();
    }
    Results results;
    try {
      results = predict(*file.scene, wish, progress_bar(options->quiet));
    } catch (const InputError& error) {
      // What shows only when the field is solved has no line, but it has a file.
      std::vector<Fault> faults = error.faults();
      for (Fault& fault : faults)
        if (fault.place.file.empty()) fault.place.file = options->scene;
      throw InputError(std::move(faults));
    }

    std::vector<std::string> written;
    if (!options->impulse.empty()) {
      const double sample_rate_hz = options->impulse == "96kHz" ? 96000 : 48000;
      const auto heard =
          add_impulse_responses(*file.scene, sample_rate_hz, results, progress_bar(options->quiet));
      const std::filesystem::path output(options->output);
      written =
          write_impulse_files(*file.scene, results, heard, (output.parent_path() / output.stem()).string());
    }
    results.scene_source = file.source;
    results.scene_resolved = file.resolved;
    write_results(results, options->output);
    if (!options->quiet) {
      print_warnings(file.faults);
      fmt::print("{}{}{}", plan_summary(*file.scene, results, options->all),
                 field_summary(*file.scene, results, options->all),
                 response_summary(*file.scene, results, preset, options->all));
    }
    if (!options->quiet && !written.empty())
      fmt::print("\nImpulse responses: {} WAV files and {}\n", written.size() - 1, written.back());
    return any_violated(results.checks) ? rule_violated : done;
  };
}

}  // namespace cabinfield::command
