#include <fmt/format.h>
#include <omp.h>

#include <algorithm>
#include <filesystem>
#include <optional>
#include <system_error>

#include "base/quantity.h"
#include "command_files.h"
#include "input/scene_file.h"
#include "output/impulse_files.h"
#include "output/vtk_file.h"
#include "output/write_results.h"
#include "predict/field_maps.h"
#include "predict/impulse_responses.h"
#include "predict/prediction.h"
#include "storage/whole_file.h"
#include "summary.h"
#include "terminal.h"
#include "verbs.h"

namespace cabinfield::command {

namespace {

/// `cabin-` and twelve hexadecimal digits, as `--keep-cabin` names its files.
bool is_cached_cabin_name(const std::string& path) {
  std::error_code not_there;
  const std::filesystem::path whole = std::filesystem::weakly_canonical(path, not_there);
  const std::string name = (not_there ? std::filesystem::path(path) : whole).filename().string();
  const std::string before = "cabin-", after = ".h5";
  constexpr std::size_t digits = 12;
  return name.size() == before.size() + digits + after.size() && name.starts_with(before) &&
         name.ends_with(after) &&
         name.find_first_not_of("0123456789abcdef", before.size()) == before.size() + digits;
}

/// STEM of `STEM.CHANNEL.SEAT.wav` and `STEM.sofa`, beside the results.
std::string impulse_stem(const std::string& output_name) {
  const std::filesystem::path output(output_name);
  return (output.parent_path() / output.stem()).string();
}

/// Frequencies of the maps; prints every fault in them.
std::optional<std::vector<double>> map_frequencies(const std::string& text, const Scene& scene) {
  std::vector<std::string> wrong;
  std::vector<double> frequencies;
  const double top_hz = scene.computation.wave_top_hz;
  if (!scene.cabin || scene.computation.field == FieldKind::images)
    wrong.push_back("maps need the wave field: a cabin, and `field: joined` or `wave` under compute");
  if (scene.seats.empty()) wrong.push_back("maps need a seat: one map is at its ear height");
  if (scene.drivers.empty()) wrong.push_back("maps need a driver");
  std::size_t at = 0;
  while (at <= text.size()) {
    const std::size_t comma = std::min(text.find(',', at), text.size());
    std::string part = text.substr(at, comma - at);
    part.erase(0, part.find_first_not_of(' '));
    part.erase(part.find_last_not_of(' ') + 1);
    const ParsedQuantity parsed = parse_quantity(part, Quantity::frequency);
    if (!parsed.value)
      wrong.push_back(parsed.error);
    else if (!(*parsed.value >= 1) || *parsed.value > top_hz)
      wrong.push_back(fmt::format("{} is outside the range of the wave field, 1 to {:.0f} Hz", part, top_hz));
    else
      frequencies.push_back(*parsed.value);
    at = comma + 1;
  }
  std::sort(frequencies.begin(), frequencies.end());
  frequencies.erase(std::unique(frequencies.begin(), frequencies.end()), frequencies.end());
  if (frequencies.size() > most_map_frequencies)
    wrong.push_back(fmt::format("{} frequencies, at most {}", frequencies.size(), most_map_frequencies));
  for (const std::string& words : wrong) fmt::print(stderr, "--maps: {}\n", words);
  if (!wrong.empty()) return std::nullopt;
  return frequencies;
}

}  // namespace

Run add_predict(CLI::App& app) {
  struct Options : CommonOptions {
    std::string scene, output;
    std::string preset = "as_drawn";
    std::string impulse, maps, maps_vtk;
    bool all = false, keep_cabin = false;
  };
  auto options = std::make_shared<Options>();
  CLI::App* verb =
      app.add_subcommand("predict", "solve a scene: write a results file and print what each seat hears");
  verb->add_option("SCENE", options->scene, "scene file")->required();
  verb->add_option("-o,--output", options->output, "results file to write (HDF5)")->required();
  verb->add_option("--preset", options->preset, "preset to print; the file contains all");
  verb->add_option("--impulse", options->impulse,
                   "also compute impulse responses at this sample rate: in the results file, and as WAV and "
                   "SOFA files "
                   "beside it")
      ->check(CLI::IsMember({"48kHz", "96kHz"}));
  verb->add_flag(
      "--keep-cabin", options->keep_cabin,
      "save the solved cabin in a file beside the results, and use it if it is there: other drivers, "
      "channels, presets or materials then take almost no time");
  const CLI::Option* maps = verb->add_option(
      "--maps", options->maps,
      "also map the sound pressure of every driver and channel on all surfaces and at ear height, at "
      "these frequencies of the wave field: --maps \"40 Hz, 63 Hz\"");
  const CLI::Option* maps_vtk = verb->add_option(
      "--maps-vtk", options->maps_vtk, "also write the maps to this VTK file (.vtu) for a 3-D viewer");
  verb->add_flag("--all", options->all, "print everything");
  add_common(*verb, *options);
  verb->footer("Example:\n  cabinfield predict scenes/hatchback.yaml -o hatchback.h5");
  return [options, maps, maps_vtk]() -> int {
    // Read the scene.
    if (options->output.empty()) {
      fmt::print(stderr, "--output: '' is not a file name: give one, such as results.h5\n");
      return input_wrong;
    }
    const SceneFile file = read_scene_file(options->scene);
    print_faults(file.faults);
    if (!file.scene) return input_wrong;
    const int preset = preset_position(*file.scene, options->preset);
    if (preset < 0) return input_wrong;
    // Check the options: no two files may be the same, and maps need frequencies.
    std::vector<WrittenFile> files{{"--output", options->output, "the results", "where the results go"}};
    if (maps_vtk->count() > 0)
      files.push_back({"--maps-vtk", options->maps_vtk, "the maps", "where the maps go"});
    if (!options->impulse.empty())
      for (const std::string& path : impulse_file_paths(*file.scene, impulse_stem(options->output)))
        files.push_back(
            {"--impulse", path, "--output, from which its name is made,", "where impulse responses go"});
    if (!files_are_apart({{"", options->scene, "the scene itself"}}, files)) return input_wrong;
    if (options->keep_cabin && is_cached_cabin_name(options->output)) {
      fmt::print(stderr, "--output: {} is a name reserved for saved cabins: give the results another name\n",
                 options->output);
      return input_wrong;
    }
    PredictionOptions prediction;
    if (maps->count() > 0) {
      const auto frequencies = map_frequencies(options->maps, *file.scene);
      if (!frequencies) return input_wrong;
      prediction.map_frequency_hz = *frequencies;
    } else if (maps_vtk->count() > 0) {
      fmt::print(stderr, "--maps-vtk: the frequencies of the maps are missing: add --maps \"40 Hz\"\n");
      return input_wrong;
    }
    if (maps_vtk->count() > 0) {
      if (std::filesystem::path(options->maps_vtk).extension() != ".vtu") {
        fmt::print(stderr, "--maps-vtk: '{}' does not end in .vtu, as viewers require\n", options->maps_vtk);
        return input_wrong;
      }
      check_writable(options->maps_vtk);
    }
    check_writable(options->output);
    // Solve.
    if (options->threads > 0) omp_set_num_threads(options->threads);
    if (options->keep_cabin) {
      const std::filesystem::path folder = std::filesystem::path(options->output).parent_path();
      prediction.cabin_cache_folder = folder.empty() ? "." : folder.string();
    }
    Results results;
    try {
      results = predict(*file.scene, prediction, progress_bar(options->quiet));
    } catch (const InputError& error) {
      // A fault found only while solving has no line, but it has a file.
      std::vector<Fault> faults = error.faults();
      for (Fault& fault : faults)
        if (fault.location.file.empty()) fault.location.file = options->scene;
      throw InputError(std::move(faults));
    }

    // Write the files and print the summary.
    std::vector<std::string> written;
    if (!options->impulse.empty()) {
      const double sample_rate_hz = options->impulse == "96kHz" ? 96000 : 48000;
      const auto heard =
          add_impulse_responses(*file.scene, sample_rate_hz, results, progress_bar(options->quiet));
      written = write_impulse_files(*file.scene, results, heard, impulse_stem(options->output));
    }
    results.scene_source = file.source;
    results.scene_resolved = file.resolved;
    write_results(results, options->output);
    if (!options->maps_vtk.empty()) write_whole_file(options->maps_vtk, vtk_map_file(results));
    if (!options->quiet) {
      print_warnings(file.faults);
      fmt::print("{}{}{}{}{}", plan_summary(*file.scene, results, options->all),
                 system_summary(*file.scene, results, options->all, false),
                 field_summary(*file.scene, results, options->all),
                 response_summary(*file.scene, results, preset, options->all),
                 loudest_summary(*file.scene, results, preset, options->all));
    }
    if (!options->quiet && !written.empty())
      fmt::print("\nImpulse responses: {} WAV files and {}\n", written.size() - 1, written.back());
    return any_violated(results.checks) ? rule_violated : done;
  };
}

}  // namespace cabinfield::command
