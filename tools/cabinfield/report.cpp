#include <fmt/format.h>

#include <filesystem>
#include <span>
#include <vector>

#include "command_files.h"
#include "output/thinned_results.h"
#include "report_page.h"
#include "storage/hdf5_reader.h"
#include "storage/whole_file.h"
#include "terminal.h"
#include "verbs.h"

namespace cabinfield::command {
namespace {

constexpr double bytes_per_megabyte = 1e6;
constexpr double largest_megabytes = 30;

/// The files of the page, together at most `megabytes`; prints every file that cannot be read.
std::vector<CarriedResults> carried_results(const std::vector<std::string>& paths, double megabytes,
                                            bool& readable) {
  std::vector<CarriedResults> files;
  const auto each =
      static_cast<std::size_t>(megabytes * bytes_per_megabyte / static_cast<double>(paths.size()));
  for (const std::string& path : paths) try {
      ThinnedResults thinned = thinned_results(path, each);
      files.push_back({std::filesystem::path(path).filename().string(), std::move(thinned.left_out),
                       std::move(thinned.bytes)});
    } catch (const UnreadableFile& why) {
      fmt::print(stderr, "{}\n", why.what());
      readable = false;
    }
  return files;
}

}  // namespace

Run add_report(CLI::App& app) {
  struct Options : CommonOptions {
    std::vector<std::string> results;
    std::string output;
    double megabytes = largest_megabytes;
    bool empty = false;
  };
  auto options = std::make_shared<Options>();
  CLI::App* verb =
      app.add_subcommand("report", "write one self-contained page of results to view, send and print");
  verb->add_option("RESULTS", options->results, "results and study files; the page opens the first");
  verb->add_option("-o,--output", options->output, "page to write (HTML)")->required();
  verb->add_flag("--empty", options->empty, "a page without results, on which you drop a results file");
  verb->add_option(
          "--megabytes", options->megabytes,
          "most results to put into the page; larger files are thinned, and the page says what is left out")
      ->check(CLI::Range(0.01, 2000.0))
      ->capture_default_str();
  add_common(*verb, *options);
  verb->footer("Example:\n  cabinfield report hatchback.h5 -o report.html");
  return [options]() -> int {
    if (options->empty && !options->results.empty()) {
      fmt::print(stderr,
                 "--empty: the empty page takes no results files: leave them out, or leave out --empty\n");
      return input_wrong;
    }
    if (!options->empty && options->results.empty()) {
      fmt::print(stderr,
                 "RESULTS: give a results file, such as one that `cabinfield predict` writes, or --empty\n");
      return input_wrong;
    }
    std::vector<ReadFile> read;
    for (const std::string& path : options->results) read.push_back({"", path, "one of the results files"});
    if (!files_are_apart(read, {{"--output", options->output, "the page", "where the page goes"}}))
      return input_wrong;
    bool readable = true;
    const std::vector<CarriedResults> files = carried_results(options->results, options->megabytes, readable);
    if (!readable) return input_wrong;
    const std::optional<std::string> page = page_template();
    if (!page) {
      fmt::print(stderr,
                 "This build of cabinfield cannot write reports: it was built without node. Install "
                 "Debian's nodejs and npm, run cmake again and build.\n");
      return machine_failed;
    }
    check_writable(options->output);
    const std::string filled = filled_page(*page, files);
    write_whole_file(options->output, std::as_bytes(std::span(filled)));
    if (!options->quiet) {
      fmt::print("{}: {:.1f} MB. Open it in a browser; it needs no network.\n", options->output,
                 static_cast<double>(filled.size()) / bytes_per_megabyte);
      for (const CarriedResults& file : files)
        if (!file.left_out.empty())
          fmt::print("  {} is too large for the page; left out: {}\n", file.name, file.left_out);
      if (options->empty) fmt::print("  Drop a results file on the page, or choose one there.\n");
    }
    return done;
  };
}

}  // namespace cabinfield::command
