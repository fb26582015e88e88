// The JSON Schema of every kind of file that the program reads by declared keys.
#pragma once

#include <string>
#include <vector>

namespace cabinfield {

/// "scene", "driver", "material", "filling", "shape".
std::vector<std::string> schema_kinds();

/// The schema of one kind as JSON text; empty where there is no such kind.
std::string json_schema(const std::string& kind);

}  // namespace cabinfield
