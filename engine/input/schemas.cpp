#include "input/schemas.h"

#include "input/json_schema.h"
#include "input/scene_keys.h"
#include "input/shape_file.h"

namespace cabinfield {
namespace {

/// A file of its own says what it is, which a model within a scene need not.
std::vector<KeyLine> as_file(std::vector<KeyLine> keys) {
  for (KeyLine& key : keys)
    if (key.key == "cabinfield_model") key.required = true;
  return keys;
}

}  // namespace

std::vector<FileKind> file_kinds() {
  return {{"scene", scene_keys().lines()},
          {"driver", as_file(driver_model_keys().lines())},
          {"material", as_file(material_keys().lines())},
          {"filling", as_file(filling_keys().lines())},
          {"amplifier", as_file(amplifier_model_keys().lines())},
          {"processor", as_file(processor_model_keys().lines())},
          {"battery", as_file(battery_keys().lines())},
          {"shape", shape_keys().lines()}};
}

std::string json_schema(const FileKind& kind) {
  return file_schema("cabinfield " + kind.name, kind.keys) + "\n";
}

}  // namespace cabinfield
