#include <fmt/format.h>

#include <algorithm>
#include <span>
#include <vector>

#include "ask.h"
#include "base/quoted.h"
#include "command_files.h"
#include "fitting/start_scene.h"
#include "input/model_library.h"
#include "output/scene_picture.h"
#include "storage/whole_file.h"
#include "terminal.h"
#include "verbs.h"

namespace cabinfield::command {

Run add_start(CLI::App& app) {
  struct Options : CommonOptions {
    std::string shape, output, tape, drivers, sheet;
    std::string wheel = "left";
    bool ask = false, form = false;
  };
  auto options = std::make_shared<Options>();
  CLI::App* verb = app.add_subcommand("start", "start a scene from a body shape and a few measured lengths");
  verb->add_option("SHAPE", options->shape,
                   "body to start from: " + joined_by_commas(shape_names(standard_model_folders())))
      ->required();
  CLI::Option* output = verb->add_option("-o,--output", options->output, "scene file to write");
  CLI::Option* tape =
      verb->add_option("--tape", options->tape, "file of measured lengths, one NAME: LENGTH per line");
  CLI::Option* ask =
      verb->add_flag("--ask", options->ask, "ask for each length in turn, with a drawing")->excludes(tape);
  verb->add_flag("--form", options->form, "print a form for the lengths and write no scene")
      ->excludes(tape)
      ->excludes(ask)
      ->excludes(output);
  CLI::Option* sheet = verb->add_option("--sheet", options->sheet,
                                        "write a drawing of where to hold each tape, for printing (SVG)");
  CLI::Option* drivers = verb->add_option("--drivers", options->drivers,
                                          "drivers at usual positions: two-way or three-way, then any of "
                                          "centre, rear, subwoofer, separated by commas");
  verb->add_option("--wheel", options->wheel, "side of the steering wheel")
      ->check(CLI::IsMember({"left", "right"}));
  add_common(*verb, *options);
  verb->footer("Example:\n  cabinfield start hatchback -o scene.yaml --drivers two-way,subwoofer");
  return [options, output, tape, sheet, drivers]() -> int {
    const auto folders = standard_model_folders();
    Faults faults;
    const std::optional<Shape> shape = read_shape(options->shape, folders, faults);
    if (!shape) {
      print_faults(faults);
      return input_wrong;
    }
    std::vector<ReadFile> read{{"", shape->file, "the shape file"}};
    std::vector<WrittenFile> files;
    if (tape->count() > 0) read.push_back({"--tape", options->tape, "the file of lengths"});
    if (output->count() > 0)
      files.push_back({"--output", options->output, "the scene", "the scene file to write"});
    if (sheet->count() > 0)
      files.push_back({"--sheet", options->sheet, "the drawing", "the drawing to write"});
    if (!files_are_apart(read, files)) return input_wrong;
    const bool scene_wanted =
        output->count() > 0 || options->ask || (!options->form && options->sheet.empty());
    if (scene_wanted && output->count() == 0) {
      fmt::print(stderr, "--output: give the name of the scene file to write, such as -o scene.yaml\n");
      return input_wrong;
    }
    StartOptions start;
    start.wheel_right = options->wheel == "right";
    if (drivers->count() > 0)
      if (const auto wanted = read_start_drivers(options->drivers, faults)) start.drivers = *wanted;
    if (!options->tape.empty()) start.taken = read_tapes(options->tape, *shape, faults);
    std::string drawing;
    if (!options->sheet.empty())
      if (const std::optional<Scene> drawn = tape_sheet(*shape, folders, faults))
        drawing = scene_picture(*drawn);
    if (faults.any()) {
      print_faults(faults);
      return input_wrong;
    }
    for (const WrittenFile& file : files) check_writable(file.path);
    // Nothing is written before all of it is right.
    const auto write_sheet = [&] {
      if (!options->sheet.empty()) write_whole_file(options->sheet, std::as_bytes(std::span(drawing)));
    };
    if (!scene_wanted) {
      write_sheet();
      if (options->form) fmt::print("{}", tape_form(*shape));
      return done;
    }
    if (options->ask) {
      const std::optional<std::vector<TakenTape>> taken = ask_tapes(*shape, start, folders, faults);
      if (!taken) {
        print_faults(faults);
        return input_wrong;
      }
      start.taken = *taken;
    }
    const std::optional<Started> started = start_scene(*shape, start, folders, faults);
    print_faults(faults);
    if (!started) return input_wrong;
    write_whole_file(options->output, std::as_bytes(std::span(started->text)));
    write_sheet();
    if (options->quiet) return done;
    print_warnings(faults);
    fmt::print("{}: {}, fitted to {} measured length{}\n", options->output, shape->key, start.taken.size(),
               start.taken.size() == 1 ? "" : "s");
    if (!started->from_shape.empty()) {
      fmt::print("Not measured, estimated from the shape's proportions:\n");
      for (const auto& known : shape->spec.tapes)
        if (std::find(started->from_shape.begin(), started->from_shape.end(), known.name) !=
            started->from_shape.end())
          fmt::print("  {}: {}\n", known.name, known.value.words);
    }
    if (!started->yielded.empty()) {
      fmt::print("Guesses of the shape that had to change to fit these lengths:\n");
      for (const std::string& words : started->yielded) fmt::print("  {}\n", words);
    }
    fmt::print("Next: cabinfield check {0} --picture plan.svg{1}\n", options->output,
               start.drivers.any() ? fmt::format("; cabinfield predict {} -o results.h5", options->output)
                                   : "; then choose positions for drivers, at the end of the file");
    return done;
  };
}

}  // namespace cabinfield::command
