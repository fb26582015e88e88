#include "input/scene_file.h"

#include <filesystem>
#include <map>

#include "input/inheritance.h"
#include "input/scene_keys.h"
#include "input/scene_reader.h"

namespace cabinfield {

std::optional<double> length_unit_of(const Node& root) {
  const Node* units = root.find("units");
  if (units == nullptr || (units->kind() == NodeKind::mapping && units->entries().empty())) return 1.0;
  const Node* length = units->find("length");
  static const std::map<std::string, double> known{{"m", 1}, {"cm", 0.01}, {"mm", 0.001}, {"in", 0.0254}};
  const auto found = length != nullptr ? known.find(length->text()) : known.end();
  return found == known.end() ? std::nullopt : std::optional(found->second);
}

namespace {

std::vector<std::string> folders_of(const std::string& file, std::vector<std::string> model_folders) {
  model_folders.insert(model_folders.begin(),
                       (std::filesystem::path(file).parent_path() / "models").string());
  return model_folders;
}

/// With what it inherits and its models; empty where it is no scene at all.
std::optional<SceneSpec> whole_spec(const Node& root, const ModelLibrary& models, Faults& faults) {
  // Bare positions need the file's unit before the first of them is read.
  Reading reading{faults, length_unit_of(root)};
  SceneSpec spec = scene_keys().read(root, reading);
  if (root.kind() != NodeKind::mapping || !reading.length_unit_m) return std::nullopt;
  resolve_inheritance(spec, faults);
  resolve_models(spec, models, faults);
  return spec;
}

void read_into(SceneFile& result, const Node& root, const std::string& file,
               std::vector<std::string> model_folders) {
  std::optional<SceneSpec> whole =
      whole_spec(root, ModelLibrary(folders_of(file, std::move(model_folders))), result.faults);
  if (!whole) return;
  SceneSpec& spec = *whole;
  result.scene = build_scene(spec, result.faults);
  if (!result.scene) return;

  // Written in metres, whatever the file's own unit was.
  spec.length_unit_m = 1;
  spec.keys.erase("units");
  result.resolved = written(scene_keys(), spec);
}

}  // namespace

ReadScene read_scene_spec(const std::string& text, const std::string& file,
                          std::vector<std::string> model_folders, Faults& faults) {
  ReadScene result;
  result.root = parse_document(text, file, faults);
  if (result.root.kind() == NodeKind::null) return result;
  result.length_unit_m = length_unit_of(result.root).value_or(1);
  result.spec = whole_spec(result.root, ModelLibrary(folders_of(file, std::move(model_folders))), faults);
  return result;
}

SceneFile read_scene_text(const std::string& text, const std::string& file,
                          std::vector<std::string> model_folders) {
  SceneFile result;
  result.source = text;
  const Node root = parse_document(text, file, result.faults);
  if (root.kind() != NodeKind::null) read_into(result, root, file, std::move(model_folders));
  return result;
}

SceneFile read_scene_node(const Node& root, const std::string& file, std::vector<std::string> model_folders) {
  SceneFile result;
  result.source = document_text(root);
  read_into(result, root, file, std::move(model_folders));
  return result;
}

SceneReader::SceneReader(const std::string& file, std::vector<std::string> model_folders, std::size_t cabins)
    : models_(folders_of(file, std::move(model_folders))), cabins_(cabins) {}

std::optional<Scene> SceneReader::read(const Node& root, Faults& faults) {
  const std::optional<SceneSpec> spec = whole_spec(root, models_, faults);
  return spec ? build_scene(*spec, faults, &cabins_) : std::nullopt;
}

SceneFile read_scene_file(const std::string& path, std::vector<std::string> model_folders) {
  SceneFile result;
  std::string text = read_text_file(path, result.faults);
  if (result.faults.any()) return result;
  return read_scene_text(text, path, std::move(model_folders));
}

}  // namespace cabinfield
