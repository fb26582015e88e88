#include "input/schemas.h"

#include <functional>

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

struct FileKind {
  std::string name;
  std::function<std::vector<KeyLine>()> keys;
};

const std::vector<FileKind>& file_kinds() {
  static const std::vector<FileKind> kinds{{"scene", [] { return scene_keys().lines(); }},
                                           {"driver", [] { return as_file(driver_model_keys().lines()); }},
                                           {"material", [] { return as_file(material_keys().lines()); }},
                                           {"filling", [] { return as_file(filling_keys().lines()); }},
                                           {"shape", [] { return shape_keys().lines(); }}};
  return kinds;
}

}  // namespace

std::vector<std::string> schema_kinds() {
  std::vector<std::string> names;
  for (const FileKind& kind : file_kinds()) names.push_back(kind.name);
  return names;
}

std::string json_schema(const std::string& kind) {
  for (const FileKind& known : file_kinds())
    if (known.name == kind)
      return "{\"$schema\":\"http://json-schema.org/draft-07/schema#\",\"title\":" +
             json_quoted("cabinfield " + kind) + "," + object_schema(known.keys()).substr(1) + "\n";
  return "";
}

}  // namespace cabinfield
