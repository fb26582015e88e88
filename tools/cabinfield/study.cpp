#include <fmt/format.h>
#include <omp.h>
#include <unistd.h>

#include <cstdint>
#include <cstdio>
#include <exception>
#include <new>
#include <optional>
#include <span>

#include "command_files.h"
#include "storage/whole_file.h"
#include "study/checkpoint.h"
#include "study/communicator.h"
#include "study/study_file.h"
#include "study/study_layout.h"
#include "study/study_run.h"
#include "study_summary.h"
#include "terminal.h"
#include "verbs.h"

namespace cabinfield::command {
namespace {

/// A year's work at a few thousand a second.
constexpr std::uint64_t most_countable_variants = 100'000'000'000;

std::string time_words(double seconds) {
  if (seconds < 90) return fmt::format("{:.0f} s", seconds);
  if (seconds < 5400) return fmt::format("{:.0f} min", seconds / 60);
  return fmt::format("{:.1f} h", seconds / 3600);
}

std::function<void(const StudyProgress&)> progress_line(bool quiet) {
  if (quiet || isatty(STDERR_FILENO) == 0) return {};
  return [](const StudyProgress& now) {
    const double here = static_cast<double>(now.done - now.done_before);
    const double rate = now.seconds > 0 ? here / now.seconds : 0;
    std::string line = fmt::format("{}: {} of {}", now.doing, now.done, now.of);
    if (rate > 0 && now.done < now.of)
      line += fmt::format(", {:.3g} a second, {} left", rate,
                          time_words(static_cast<double>(now.of - now.done) / rate));
    fmt::print(stderr, "\r{:<70}{}", line, now.done >= now.of ? fmt::format("\r{:70}\r", "") : "");
    std::fflush(stderr);
  };
}

/// Removes the progress file, unless another run has just taken its lock.
void remove_progress(const std::string& checkpoint) {
  try {
    Checkpoint(checkpoint).remove();
  } catch (const CheckpointInUse&) {
  }
}

/// Prints why a study could not be computed; returns the exit status.
int tell_failure(const std::exception& error, const Study& study, const StudyOptions& study_options) {
  if (dynamic_cast<const CheckpointInUse*>(&error) != nullptr) {
    fmt::print(stderr, "{}: another run is using this file: wait until it ends, or give another --output\n",
               study_options.checkpoint);
    return input_wrong;
  }
  if (dynamic_cast<const OtherWork*>(&error) != nullptr) {
    fmt::print(stderr, "{}\n", error.what());
    return input_wrong;
  }
  if (const auto* wrong = dynamic_cast<const InputError*>(&error)) {
    // The input has faults: there is no progress worth keeping.
    remove_progress(study_options.checkpoint);
    std::vector<Fault> faults = wrong->faults();
    for (Fault& fault : faults)
      if (fault.location.file.empty()) fault.location.file = study.path;
    fmt::print(stderr, "{}\n", InputError(std::move(faults)).what());
    return input_wrong;
  }
  if (dynamic_cast<const MachineError*>(&error) == nullptr &&
      dynamic_cast<const std::bad_alloc*>(&error) == nullptr)
    throw;
  fmt::print(stderr, "{}\n",
             dynamic_cast<const std::bad_alloc*>(&error) != nullptr
                 ? "not enough memory for this study: use fewer frequencies, seats or variants"
                 : error.what());
  return machine_failed;
}

int write_scene(const Study& study, std::uint64_t variant, const std::string& output) {
  if (variant >= study.variant_count()) {
    fmt::print(stderr, "--write-scene: {} is outside 0 to {}: the study has {} variants\n", variant,
               study.variant_count() - 1, study.variant_count());
    return input_wrong;
  }
  const SceneFile file = study.scene_file(variant);
  if (!file.scene) {
    fmt::print(stderr, "variant {} ({}) is impossible:\n", variant, study.label(variant));
    print_faults(file.faults);
    return input_wrong;
  }
  write_whole_file(output, std::as_bytes(std::span(file.source.data(), file.source.size())));
  return done;
}

}  // namespace

Run add_study(CLI::App& app) {
  struct Options : CommonOptions {
    std::string study, output;
    bool yes = false, start_over = false, all = false;
    std::uint64_t scene = 0;
  };
  auto options = std::make_shared<Options>();
  CLI::App* verb = app.add_subcommand(
      "study",
      "rank many variants of a scene: speaker positions, settings, what each channel adds, and how certain "
      "the ranking is");
  verb->add_option("STUDY", options->study, "study file")->required();
  verb->add_option("-o,--output", options->output, "file to write (HDF5)")->required();
  const CLI::Option* scene =
      verb->add_option("--write-scene", options->scene,
                       "write only the scene file of this variant to the output; nothing is ranked");
  verb->add_flag("--yes", options->yes,
                 "run even if there are more variants than the study's limit (most_variants)");
  verb->add_flag(
      "--start-over", options->start_over,
      "discard the progress saved beside the output by another study, or by an earlier version of this one");
  verb->add_flag("--all", options->all, "print everything");
  add_common(*verb, *options);
  verb->footer("Example:\n  cabinfield study scenes/studies/rear_doors_bass.yaml -o rear_doors_bass.h5");
  return [options, scene]() -> int {
    if (options->output.empty()) {
      fmt::print(stderr, "--output: '' is not a file name: give one, such as study.h5\n");
      return input_wrong;
    }
    // Read the study and check its files.
    const StudyFile file = read_study_file(options->study);
    print_faults(file.faults);
    if (!file.study) return input_wrong;
    const Study& study = *file.study;
    std::vector<WrittenFile> files{{"--output", options->output, "the output", "where the output goes"}};
    if (scene->count() == 0)
      files.push_back({"--output", options->output + ".part", "--output, beside which progress is saved,",
                       "where progress is saved"});
    if (!files_are_apart({{"", study.path, "the study or its scene itself"},
                          {"", study.scene_path, "the study or its scene itself"}},
                         files))
      return input_wrong;
    check_writable(options->output);
    if (scene->count() > 0) return write_scene(study, options->scene, options->output);
    // Check the number of variants.
    if (study.variant_count() > most_countable_variants) {
      fmt::print(stderr, "{}: more than {} variants, too many for any computer: make the grid coarser\n",
                 study.path, most_countable_variants);
      return input_wrong;
    }
    if (study.over_the_limit() && !options->yes) {
      fmt::print(stderr,
                 "{}: {} variants, more than its limit of {}: make the grid coarser, raise most_variants, or "
                 "add --yes\n",
                 study.path, study.variant_count(), study.most_variants);
      return input_wrong;
    }
    if (options->threads > 0) omp_set_num_threads(options->threads);
    // Run.
    StudyOptions study_options;
    study_options.checkpoint = options->output + ".part";
    study_options.start_over = options->start_over;
    const Communicator communicator;
    StudyOutcome outcome;
    try {
      outcome = run_study(study, study_options, communicator,
                          progress_line(options->quiet || !communicator.first()));
    } catch (const std::exception& error) {
      const int status = tell_failure(error, study, study_options);
      // The other processes would wait for results that never arrive.
      if (communicator.size() > 1) communicator.abandon(status);
      return status;
    }
    // Only the first process writes and prints.
    if (!communicator.first()) return done;
    try {
      write_study(study, outcome, options->output);
    } catch (const MachineError& error) {
      throw MachineError(fmt::format("{}. The progress stays in {}: give the same command again to continue",
                                     error.what(), study_options.checkpoint));
    }
    remove_progress(study_options.checkpoint);
    if (!options->quiet) {
      print_warnings(file.faults);
      fmt::print("{}", study_summary(study, outcome, options->all));
    }
    const bool keeps = outcome.ranking.empty() ? false : outcome.score[outcome.ranking.front()].broken == 0;
    return keeps ? done : rule_violated;
  };
}

}  // namespace cabinfield::command
