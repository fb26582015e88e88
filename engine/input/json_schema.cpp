#include "input/json_schema.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "input/key_table.h"

namespace cabinfield {

using Json = nlohmann::ordered_json;

struct JsonSchema::Content {
  Json json = Json::object();
};

namespace {

JsonSchema schema_of(Json json) {
  return JsonSchema(std::make_shared<const JsonSchema::Content>(JsonSchema::Content{std::move(json)}));
}

/// Texts come from files and may hold bytes that are no UTF-8: these are replaced.
std::string dumped(const Json& json) { return json.dump(-1, ' ', false, Json::error_handler_t::replace); }

Json described(const KeyLine& key) {
  if (!key.supported) return false;  // a key without support yet may not be given
  const std::string words = key.words + (key.help.empty() ? "" : ": " + key.help);
  Json result = Json::object();
  if (!words.empty()) result["description"] = words;
  result.update(key.schema.content().json);
  return result;
}

}  // namespace

JsonSchema::JsonSchema() : content_(std::make_shared<const Content>()) {}

std::string JsonSchema::text() const { return dumped(content_->json); }

std::string json_quoted(const std::string& text) { return dumped(text); }

std::string file_schema(const std::string& title, const std::vector<KeyLine>& keys) {
  Json json{{"$schema", "http://json-schema.org/draft-07/schema#"}, {"title", title}};
  json.update(object_schema(keys).content().json);
  return dumped(json);
}

JsonSchema object_schema(const std::vector<KeyLine>& keys) {
  Json properties = Json::object(), required = Json::array();
  for (const KeyLine& key : keys) {
    properties[key.key] = described(key);
    if (key.required) required.push_back(key.key);
  }
  Json json{{"type", "object"}, {"properties", std::move(properties)}, {"additionalProperties", false}};
  if (!required.empty()) json["required"] = std::move(required);
  return schema_of(std::move(json));
}

JsonSchema type_schema(const std::string& type) { return schema_of({{"type", type}}); }

JsonSchema array_schema(const JsonSchema& items, int least, int greatest) {
  return schema_of(
      {{"type", "array"}, {"items", items.content().json}, {"minItems", least}, {"maxItems", greatest}});
}

JsonSchema tuple_schema(const std::vector<JsonSchema>& items) {
  Json list = Json::array();
  for (const JsonSchema& item : items) list.push_back(item.content().json);
  const std::size_t count = list.size();
  return schema_of({{"type", "array"}, {"items", std::move(list)}, {"minItems", count}, {"maxItems", count}});
}

JsonSchema any_of(const std::vector<JsonSchema>& schemas) {
  Json list = Json::array();
  for (const JsonSchema& schema : schemas) list.push_back(schema.content().json);
  return schema_of({{"anyOf", std::move(list)}});
}

JsonSchema except_numbers(const JsonSchema& schema, const std::vector<int>& numbers) {
  Json json = schema.content().json;
  json["not"] = {{"const", numbers}};
  return schema_of(std::move(json));
}

JsonSchema mapping_schema(const std::string& names, const JsonSchema& values) {
  return schema_of({{"type", "object"},
                    {"propertyNames", {{"pattern", names}}},
                    {"additionalProperties", values.content().json}});
}

JsonSchema pattern_schema(const std::string& pattern) {
  return schema_of({{"type", "string"}, {"pattern", pattern}});
}

JsonSchema scalar_schema(const std::string& pattern) {
  // The pattern applies to strings alone.
  return schema_of({{"type", {"string", "number", "boolean"}}, {"pattern", pattern}});
}

JsonSchema enum_schema(const std::vector<std::string>& words) { return schema_of({{"enum", words}}); }

JsonSchema number_schema(double least, double greatest, bool whole) {
  Json json{{"type", whole ? "integer" : "number"}};
  if (std::isfinite(least)) json["minimum"] = least;
  if (std::isfinite(greatest)) json["maximum"] = greatest;
  return schema_of(std::move(json));
}

}  // namespace cabinfield
