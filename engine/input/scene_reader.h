// Scenes read one after another from documents that are much alike: models and cabins are kept from one to
// the next, and no text is made.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/fault.h"
#include "input/document.h"
#include "input/model_library.h"
#include "scene/cabin_shelf.h"
#include "scene/scene.h"

namespace cabinfield {

class SceneReader {
 public:
  /// Scenes stand for `file`: models are looked for beside it, then in the folders. So many cabins are kept.
  explicit SceneReader(const std::string& file,
                       std::vector<std::string> model_folders = standard_model_folders(),
                       std::size_t cabins = 8);

  /// The scene of a document, as read_scene_node has it; empty where there are faults. For one thread at a
  /// time.
  std::optional<Scene> read(const Node& root, Faults& faults);

 private:
  ModelLibrary models_;
  CabinShelf cabins_;
};

}  // namespace cabinfield
