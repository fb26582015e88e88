// Shapes: bodies to start a scene from, files of models/shapes.
#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "base/fault.h"
#include "geometry/tape_fit.h"
#include "input/keys.h"
#include "scene/scene.h"

namespace cabinfield {

/// A length that the shape asks for. Ends are seats.NAME, marks.NAME, a point, or a wall: front, rear, left,
/// right, floor, roof.
struct ShapeTapeSpec : Given {
  std::string words;  ///< how to hold the tape
  std::variant<std::string, Vector3> from, to;
  std::optional<std::variant<std::string, Vector3>> through;  ///< a line to a wall runs through this point
  std::vector<double> usual_m;                                ///< least and greatest in cars of this shape
};

/// Within which scenes of the shape lie, each least and greatest.
struct ShapeBandSpec : Given {
  std::vector<double> volume_m3, shoulder_width_m, ear_height_m;
};

struct ShapeSpec : Given {
  std::string model, name, note;
  ShapeBandSpec band;
  std::vector<Named<ShapeTapeSpec>> tapes;
  int scene_line = 0;  ///< of the file, where the scene begins
};

const Keys<ShapeSpec>& shape_keys();

/// Every key of shape files, a section each: its head and its keys.
std::vector<std::pair<std::string, std::vector<KeyLine>>> shape_key_sections();

/// A shape ready to be stretched.
struct Shape {
  std::string key;  ///< "hatchback"
  ShapeSpec spec;
  std::string scene_text;  ///< as a scene file of its own
  std::string file;        ///< it was read from
  std::string scene_file;  ///< what messages call it
};

/// Names of all shapes, sorted.
std::vector<std::string> shape_names(const std::vector<std::string>& model_folders);

/// Empty after a fault: an unknown shape (with the nearest), a file that cannot be used.
std::optional<Shape> read_shape(const std::string& key, const std::vector<std::string>& model_folders,
                                Faults& faults);

/// Ends of tapes as the scene has them: seats.NAME, marks.NAME, drivers.NAME or a point, walls by their
/// words. Empty where there is no such thing.
std::optional<TapeEnd> tape_end(const std::variant<std::string, Vector3>& given, const SceneSpec& spec,
                                const Scene& scene);

/// Heads of a scene, the driver's first.
std::vector<Vector3> heads_of(const Scene& scene);

}  // namespace cabinfield
