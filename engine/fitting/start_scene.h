// A first scene of a car, from a shape and a few taped lengths.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "input/scene_file.h"
#include "input/shape_file.h"

namespace cabinfield {

/// A taped length by its name in the shape.
struct TakenTape {
  std::string name;
  double length_m = 0;
  SourceLocation location;  ///< in the file of lengths; without a file: none
};

/// Which places get drivers, and with them channels and a preset.
struct StartDrivers {
  bool two_way = false, three_way = false, centre = false, rear = false, subwoofer = false;
  bool any() const { return two_way || three_way; }
};

/// Reads "two-way,centre,subwoofer"; empty after a fault.
std::optional<StartDrivers> read_start_drivers(const std::string& text, Faults& faults);

/// Reads a file of lengths, NAME: LENGTH a line; a name without a length is one not taken.
std::vector<TakenTape> read_tapes(const std::string& file, const Shape& shape, Faults& faults);

/// A file of lengths to fill in: every name, without a value.
std::string tape_form(const Shape& shape);

/// What each length alone, and pairs of them, must be: faults and warnings in the words of the question.
void check_tapes(const Shape& shape, const std::vector<TakenTape>& taken, Faults& faults);

struct StartOptions {
  std::vector<TakenTape> taken;
  StartDrivers drivers;
  bool wheel_right = false;
};

struct Started {
  std::string text;                     ///< the scene file
  std::vector<std::string> from_shape;  ///< names of lengths that were not taken
  std::vector<std::string> yielded;     ///< guesses of the shape that gave way, in words
};

/// Empty after a fault: lengths that contradict one another.
std::optional<Started> start_scene(const Shape& shape, const StartOptions& options,
                                   const std::vector<std::string>& model_folders, Faults& faults);

/// The shape's own body: read, built, and where its tapes are held.
struct ShapeBody {
  ReadScene read;
  Scene scene;
  FreePlanes planes;
  std::vector<TapeLine> tapes;  ///< in the order of the shape's
};
std::optional<ShapeBody> shape_body(const Shape& shape, const std::vector<std::string>& model_folders,
                                    Faults& faults);

/// The body with the shape's tapes where they are held, each under its name and words, and nothing taped yet:
/// to draw.
std::optional<Scene> tape_sheet(const Shape& shape, const std::vector<std::string>& model_folders,
                                Faults& faults);

}  // namespace cabinfield
