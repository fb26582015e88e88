// From a scene file to a scene.
#pragma once

#include <optional>
#include <string>

#include "base/fault.h"
#include "input/document.h"
#include "input/model_library.h"
#include "scene/scene.h"

namespace cabinfield {

/// A scene with the text it came from and the same with every default and model filled in.
struct SceneFile {
  std::optional<Scene> scene;  ///< empty where there are faults
  std::string source;
  std::string resolved;
  Faults faults;
};

/// A scene as read, with what it takes from others and from the library filled in, and not yet built.
struct ReadScene {
  Node root;                      ///< null where the text is no document
  double length_unit_m = 1;       ///< of its bare positions
  std::optional<SceneSpec> spec;  ///< empty where it is no mapping or its unit is at fault
};
ReadScene read_scene_spec(const std::string& text, const std::string& file,
                          std::vector<std::string> model_folders, Faults& faults);

/// Reads, checks and builds; models are looked for beside the scene file, then in `model_folders`. Never
/// throws for a bad file.
SceneFile read_scene_file(const std::string& path,
                          std::vector<std::string> model_folders = standard_model_folders());

/// The same for text already at hand, called `file` in messages.
SceneFile read_scene_text(const std::string& text, const std::string& file,
                          std::vector<std::string> model_folders = standard_model_folders());

/// The same for a document already parsed and perhaps edited; its text becomes the source.
SceneFile read_scene_node(const Node& root, const std::string& file,
                          std::vector<std::string> model_folders = standard_model_folders());

/// Metres in the unit of a scene's bare positions; empty where it is at fault.
std::optional<double> length_unit_of(const Node& root);

}  // namespace cabinfield
