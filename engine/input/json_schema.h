// JSON Schema (draft 7, which editors know best) from declared keys: what a file may hold, for completion and
// for marking mistakes while typing.
#pragma once

#include <memory>
#include <string>
#include <vector>

namespace cabinfield {

struct KeyLine;

/// A schema as a value. The JSON library is included in json_schema.cpp alone.
class JsonSchema {
 public:
  struct Content;

  /// Accepts anything: {}.
  JsonSchema();
  explicit JsonSchema(std::shared_ptr<const Content> content) : content_(std::move(content)) {}
  const Content& content() const { return *content_; }
  std::string text() const;

 private:
  std::shared_ptr<const Content> content_;
};

/// Text as a JSON string, with its quotes.
std::string json_quoted(const std::string& text);

/// The whole schema of a kind of file: a mapping with these keys and no others, and a title.
std::string file_schema(const std::string& title, const std::vector<KeyLine>& keys);

/// A mapping with these keys and no others.
JsonSchema object_schema(const std::vector<KeyLine>& keys);

/// A value of one of the types of JSON: "boolean", "object", …
JsonSchema type_schema(const std::string& type);

/// A list of `least` to `greatest` items of one schema.
JsonSchema array_schema(const JsonSchema& items, int least, int greatest);

/// A list of as many items as there are schemas, each of its own.
JsonSchema tuple_schema(const std::vector<JsonSchema>& items);

/// One of these schemas.
JsonSchema any_of(const std::vector<JsonSchema>& schemas);

/// What the schema accepts, except a list of these numbers.
JsonSchema except_numbers(const JsonSchema& schema, const std::vector<int>& numbers);

/// A mapping from names that match a pattern (ECMA 262) to values of one schema.
JsonSchema mapping_schema(const std::string& names, const JsonSchema& values);

/// Text that matches a pattern.
JsonSchema pattern_schema(const std::string& pattern);

/// The same, or a number or truth value: what looks like one to JSON may be text in a file.
JsonSchema scalar_schema(const std::string& pattern);

/// One of these texts.
JsonSchema enum_schema(const std::vector<std::string>& words);

/// A number (or whole number) within limits; infinite ones are none.
JsonSchema number_schema(double least, double greatest, bool whole = false);

}  // namespace cabinfield
