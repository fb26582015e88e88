#include <fmt/format.h>

#include <memory>

#include "base/nearest_name.h"
#include "base/quoted.h"
#include "input/scene_keys.h"
#include "input/schemas.h"
#include "study/study_keys.h"
#include "verbs.h"

namespace cabinfield::command {

namespace {

std::vector<FileKind> all_kinds() {
  std::vector<FileKind> kinds = file_kinds();
  kinds.push_back({"study", study_keys().lines()});
  return kinds;
}

}  // namespace

Run add_keys(CLI::App& app) {
  CLI::App* verb =
      app.add_subcommand("keys", "print all keys of scene, model and study files with kind and limits");
  struct Options : CommonOptions {
    std::string schema;
  };
  auto options = std::make_shared<Options>();
  std::vector<std::string> kinds;
  for (const FileKind& kind : all_kinds()) kinds.push_back(kind.name);
  verb->add_option(
          "--schema", options->schema,
          "print the JSON Schema of one kind of file instead, for completion and checks in an editor: " +
              joined_by_commas(kinds))
      ->check(CLI::IsMember(kinds));
  add_common(*verb, *options);
  verb->footer("Example:\n  cabinfield keys");
  return [options] {
    for (const FileKind& kind : all_kinds())
      if (kind.name == options->schema) fmt::print("{}", json_schema(kind));
    if (options->schema.empty() && !options->quiet)
      fmt::print("{}\n{}", scene_key_reference(), study_key_reference());
    return 0;
  };
}

}  // namespace cabinfield::command
