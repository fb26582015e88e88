#include "input/model_library.h"

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <set>
#include <system_error>

#include "input/document.h"
#include "input/scene_keys.h"

namespace cabinfield {
namespace {

template <typename Spec>
std::optional<Spec> read_model(const std::string& path, const Keys<Spec>& keys,
                               std::map<std::string, std::any>& read, Faults& faults) {
  if (const auto before = read.find(path); before != read.end())
    return std::any_cast<const Spec&>(before->second);
  Faults found;
  const std::string text = read_text_file(path, found);
  std::optional<Spec> spec;
  if (!found.any()) {
    const Node root = parse_document(text, path, found);
    if (!found.any()) {
      Reading reading{found};
      spec = keys.read(root, reading);
      if (!spec->has("cabinfield_model"))
        found.add(root.location(), "key 'cabinfield_model' is missing: what kind of model this is");
    }
  }
  faults.add_all(found);
  if (found.any()) return std::nullopt;
  if (found.warnings().empty()) read.emplace(path, *spec);
  return spec;
}

}  // namespace

std::optional<std::string> ModelLibrary::find(const std::string& kind, const std::string& name) const {
  for (const std::string& folder : folders_) {
    const auto path = std::filesystem::path(folder) / kind / (name + ".yaml");
    std::error_code failed;
    if (std::filesystem::is_regular_file(path, failed)) return path.string();
  }
  return std::nullopt;
}

std::optional<MaterialSpec> ModelLibrary::material(const std::string& name, Faults& faults) const {
  const auto path = find("materials", name);
  return path ? read_model(*path, material_keys(), read_, faults) : std::nullopt;
}

std::optional<FillingSpec> ModelLibrary::filling(const std::string& name, Faults& faults) const {
  const auto path = find("fillings", name);
  return path ? read_model(*path, filling_keys(), read_, faults) : std::nullopt;
}

std::optional<DriverModelSpec> ModelLibrary::driver(const std::string& name, Faults& faults) const {
  const auto path = find("drivers", name);
  return path ? read_model(*path, driver_model_keys(), read_, faults) : std::nullopt;
}

std::optional<AmplifierModelSpec> ModelLibrary::amplifier(const std::string& name, Faults& faults) const {
  const auto path = find("amplifiers", name);
  return path ? read_model(*path, amplifier_model_keys(), read_, faults) : std::nullopt;
}

std::optional<ProcessorModelSpec> ModelLibrary::processor(const std::string& name, Faults& faults) const {
  const auto path = find("processors", name);
  return path ? read_model(*path, processor_model_keys(), read_, faults) : std::nullopt;
}

std::optional<BatterySpec> ModelLibrary::battery(const std::string& name, Faults& faults) const {
  const auto path = find("batteries", name);
  return path ? read_model(*path, battery_keys(), read_, faults) : std::nullopt;
}

std::vector<std::string> ModelLibrary::names(const std::string& kind) const {
  std::set<std::string> found;
  for (const std::string& folder : folders_) {
    std::error_code failed;
    for (std::filesystem::directory_iterator it(std::filesystem::path(folder) / kind, failed), end;
         !failed && it != end; it.increment(failed))
      if (it->path().extension() == ".yaml") found.insert(it->path().stem().string());
  }
  return {found.begin(), found.end()};
}

std::vector<std::string> standard_model_folders() {
  std::vector<std::string> folders;
  if (const char* own = std::getenv("CABINFIELD_MODELS"); own != nullptr && *own != '\0')
    folders.emplace_back(own);
  std::error_code failed;
  const auto program = std::filesystem::read_symlink("/proc/self/exe", failed);
  if (!failed)
    folders.push_back((program.parent_path().parent_path() / "share" / "cabinfield" / "models").string());
#ifdef CABINFIELD_SOURCE_MODELS
  folders.emplace_back(CABINFIELD_SOURCE_MODELS);
#endif
  return folders;
}

}  // namespace cabinfield
