// The JSON Schema of files that are read by declared keys.
#pragma once

#include <string>
#include <vector>

#include "input/keys.h"

namespace cabinfield {

/// A kind of file and its keys.
struct FileKind {
  std::string name;
  std::vector<KeyLine> keys;
};

/// "scene", "driver", "material", "filling", "shape"; layers above this one have kinds of their own.
std::vector<FileKind> file_kinds();

/// Its schema as JSON text.
std::string json_schema(const FileKind& kind);

}  // namespace cabinfield
