// Prints one JSON text: every kind of file with its schema, and every given file as JSON with what its schema
// must say of it: "valid", "invalid", or "unreadable" where it is no document at all. A file is invalid where
// the reader finds a fault by its declared keys that a schema can express (Reading::beyond_schema counts
// those that none can); what is wrong with the scene as a whole no schema sees.
#include <cstdio>
#include <string>

#include "input/keys_values.h"
#include "input/scene_keys.h"
#include "input/schemas.h"
#include "input/shape_file.h"
#include "study/study_keys.h"

namespace {

using namespace cabinfield;

std::string as_json(const Node& node) {
  std::string text;
  switch (node.kind()) {
    case NodeKind::null:
      return "null";
    case NodeKind::scalar:
      // As YAML 1.2's core schema types it, which editors follow.
      if (!node.quoted() && (node.text() == "true" || node.text() == "false")) return node.text();
      if (const auto number = node.quoted() ? std::nullopt : parse_number(node.text())) {
        char digits[40];
        std::snprintf(digits, sizeof digits, "%.17g", *number);
        return digits;
      }
      return json_quoted(node.text());
    case NodeKind::sequence:
      for (const Node& item : node.items()) text += (text.empty() ? "" : ",") + as_json(item);
      return "[" + text + "]";
    case NodeKind::mapping:
      for (const Entry& entry : node.entries())
        text += (text.empty() ? "" : ",") + json_quoted(entry.key) + ":" + as_json(entry.value);
      return "{" + text + "}";
  }
  return "null";
}

/// How many faults the reader finds by keys that a schema can express.
std::size_t expressible_faults(const Node& root, const std::string& kind) {
  Faults faults;
  Reading reading{faults};
  // A unit that is none leaves positions unjudged, as in the program; the others scale nothing but limits.
  if (kind == "scene") {
    const Node* units = root.find("units");
    const Node* length = units != nullptr ? units->find("length") : nullptr;
    if (length != nullptr)
      for (const auto& [name, metres] : {std::pair{"mm", 0.001}, {"cm", 0.01}, {"in", 0.0254}})
        if (length->text() == name) reading.length_unit_m = metres;
    scene_keys().read(root, reading);
  } else if (kind == "driver") {
    driver_model_keys().read(root, reading);
  } else if (kind == "material") {
    material_keys().read(root, reading);
  } else if (kind == "filling") {
    filling_keys().read(root, reading);
  } else if (kind == "amplifier") {
    amplifier_model_keys().read(root, reading);
  } else if (kind == "processor") {
    processor_model_keys().read(root, reading);
  } else if (kind == "battery") {
    battery_keys().read(root, reading);
  } else if (kind == "study") {
    study_keys().read(root, reading);
  } else {
    shape_keys().read(root, reading);
  }
  return faults.times_added() - reading.beyond_schema;
}

}  // namespace

/// KIND:FILE …
int main(int argc, char** argv) {
  std::string text = "{\"schemas\":{", cases;
  std::vector<FileKind> kinds = file_kinds();
  kinds.push_back({"study", study_keys().lines()});
  for (const FileKind& kind : kinds)
    text += (text.ends_with('{') ? "" : ",") + json_quoted(kind.name) + ":" + json_schema(kind);
  for (int i = 1; i < argc; ++i) {
    const std::string argument = argv[i], kind = argument.substr(0, argument.find(':'));
    const std::string file = argument.substr(kind.size() + 1);
    Faults faults;
    const Node root = parse_document(read_text_file(file, faults), file, faults);
    const bool readable = !faults.any() && root.kind() != NodeKind::null;
    const bool valid = readable && expressible_faults(root, kind) == 0;
    cases += (cases.empty() ? "" : ",\n") + ("{\"file\":" + json_quoted(file)) +
             ",\"kind\":" + json_quoted(kind) + ",\"says\":" +
             (!readable ? "\"unreadable\""
              : valid   ? "\"valid\""
                        : "\"invalid\"") +
             ",\"document\":" + (readable ? as_json(root) : "null") + "}";
  }
  std::printf("%s},\"cases\":[%s]}\n", text.c_str(), cases.c_str());
}
