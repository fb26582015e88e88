#include <fmt/format.h>

#include <memory>

#include "base/nearest_name.h"
#include "input/scene_keys.h"
#include "input/schemas.h"
#include "study/study_keys.h"
#include "verbs.h"

namespace cabinfield::command {

Run add_keys(CLI::App& app) {
  CLI::App* verb =
      app.add_subcommand("keys", "print every key of scene, model and study files, with its kind and limits");
  struct Options : CommonOptions {
    std::string schema;
  };
  auto options = std::make_shared<Options>();
  verb->add_option("--schema", options->schema,
                   "instead, the JSON Schema of one kind of file, for completion and checks in an editor: " +
                       joined_by_commas(schema_kinds()))
      ->check(CLI::IsMember(schema_kinds()));
  add_common(*verb, *options);
  verb->footer("Example:\n  cabinfield keys");
  return [options] {
    if (!options->schema.empty())
      fmt::print("{}", json_schema(options->schema));
    else if (!options->quiet)
      fmt::print("{}\n{}", scene_key_reference(), study_key_reference());
    return 0;
  };
}

}  // namespace cabinfield::command
