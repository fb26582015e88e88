#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <span>
#include <system_error>

#include "ask.h"
#include "base/nearest_name.h"
#include "input/model_library.h"
#include "input/start_scene.h"
#include "results/scene_picture.h"
#include "results/whole_file.h"
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
  CLI::App* verb = app.add_subcommand("start", "a first scene from a body shape and a few taped lengths");
  verb->add_option("SHAPE", options->shape,
                   "body to start from: " + joined_by_commas(shape_names(standard_model_folders())))
      ->required();
  CLI::Option* output = verb->add_option("-o,--output", options->output, "scene file to write");
  CLI::Option* tape = verb->add_option("--tape", options->tape, "file of lengths, a line NAME: LENGTH each");
  CLI::Option* ask =
      verb->add_flag("--ask", options->ask, "ask for the lengths one by one, each with a drawing")
          ->excludes(tape);
  verb->add_flag("--form", options->form, "print a file of lengths to fill in, and write nothing")
      ->excludes(tape)
      ->excludes(ask)
      ->excludes(output);
  verb->add_option("--sheet", options->sheet, "draw where each tape is held, to print and write on (SVG)");
  verb->add_option("--drivers", options->drivers,
                   "drivers at usual places: two-way or three-way, then centre, rear, subwoofer as wanted, "
                   "parted by commas");
  verb->add_option("--wheel", options->wheel, "side of the steering wheel")
      ->check(CLI::IsMember({"left", "right"}));
  add_common(*verb, *options);
  verb->footer("Example:\n  cabinfield start hatchback -o scene.yaml --drivers two-way,subwoofer");
  return [options, output]() -> int {
    const auto folders = standard_model_folders();
    Faults faults;
    const std::optional<Shape> shape = read_shape(options->shape, folders, faults);
    if (!shape) {
      print_faults(faults);
      return input_wrong;
    }
    if (!options->sheet.empty()) {
      if (options->sheet == options->output || options->sheet == options->tape) {
        fmt::print(stderr, "--sheet: {} is another file of this command: give the drawing another name\n",
                   options->sheet);
        return input_wrong;
      }
      check_writable(options->sheet);
      const std::optional<Scene> drawn = tape_sheet(*shape, folders, faults);
      if (!drawn) {
        print_faults(faults);
        return input_wrong;
      }
      const std::string picture = scene_picture(*drawn);
      write_whole_file(options->sheet, std::as_bytes(std::span(picture)));
    }
    if (options->form) fmt::print("{}", tape_form(*shape));
    if ((options->form || !options->sheet.empty()) && output->count() == 0) return done;
    if (output->count() == 0 || options->output.empty()) {
      fmt::print(stderr, "--output: give the scene file to write, such as -o scene.yaml\n");
      return input_wrong;
    }
    StartWish wish;
    wish.wheel_right = options->wheel == "right";
    if (!options->drivers.empty())
      if (const auto drivers = read_start_drivers(options->drivers, faults)) wish.drivers = *drivers;
    if (!options->tape.empty()) {
      std::error_code not_there;
      if (std::filesystem::equivalent(options->tape, options->output, not_there))
        faults.add({}, fmt::format("--output: {} is the file of lengths: give the scene another name",
                                   options->output));
      wish.taken = read_tapes(options->tape, *shape, faults);
    }
    if (faults.any()) {
      print_faults(faults);
      return input_wrong;
    }
    check_writable(options->output);
    if (options->ask) {
      const std::optional<std::vector<TakenTape>> taken = ask_tapes(*shape, folders, faults);
      if (!taken) {
        print_faults(faults);
        return input_wrong;
      }
      wish.taken = *taken;
    }
    const std::optional<Started> started = start_scene(*shape, wish, folders, faults);
    print_faults(faults);
    if (!started) return input_wrong;
    write_whole_file(options->output, std::as_bytes(std::span(started->text)));
    if (options->quiet) return done;
    print_warnings(faults);
    fmt::print("{}: a {} from {} taped length{}\n", options->output, shape->key, wish.taken.size(),
               wish.taken.size() == 1 ? "" : "s");
    if (!started->from_shape.empty()) {
      fmt::print("Not taped, so in proportion from the shape:\n");
      for (const auto& known : shape->spec.tapes)
        if (std::find(started->from_shape.begin(), started->from_shape.end(), known.name) !=
            started->from_shape.end())
          fmt::print("  {}: {}\n", known.name, known.value.words);
    }
    fmt::print("Next: cabinfield check {0} --picture plan.svg{1}\n", options->output,
               wish.drivers.any() ? fmt::format("; cabinfield predict {} -o results.h5", options->output)
                                  : "; then take places for drivers, at the end of the file");
    return done;
  };
}

}  // namespace cabinfield::command
