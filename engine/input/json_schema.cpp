#include "input/json_schema.h"

#include <fmt/format.h>

#include <cmath>

#include "input/keys.h"

namespace cabinfield {

std::string json_quoted(const std::string& text) {
  std::string result = "\"";
  for (char c : text) {
    if (c == '"' || c == '\\')
      result += std::string("\\") + c;
    else if (static_cast<unsigned char>(c) < 0x20)
      result += fmt::format("\\u{:04x}", static_cast<unsigned>(c));
    else
      result += c;
  }
  return result + "\"";
}

std::string described(const std::string& schema, const std::string& words) {
  if (words.empty() || !schema.starts_with('{')) return schema;
  return "{\"description\":" + json_quoted(words) + (schema == "{}" ? "" : ",") + schema.substr(1);
}

std::string object_schema(const std::vector<KeyLine>& keys) {
  std::string properties, required;
  for (const KeyLine& key : keys) {
    // A key without support yet may not stand at all.
    const std::string words = key.words + (key.help.empty() ? "" : ": " + key.help);
    properties += (properties.empty() ? "" : ",") + json_quoted(key.key) + ":" +
                  (key.supported ? described(key.schema, words) : std::string("false"));
    if (key.required) required += (required.empty() ? "" : ",") + json_quoted(key.key);
  }
  return "{\"type\":\"object\",\"properties\":{" + properties + "},\"additionalProperties\":false" +
         (required.empty() ? "" : ",\"required\":[" + required + "]") + "}";
}

std::string array_schema(const std::string& items, int least, int greatest) {
  return fmt::format("{{\"type\":\"array\",\"items\":{},\"minItems\":{},\"maxItems\":{}}}", items, least,
                     greatest);
}

std::string any_of(const std::vector<std::string>& schemas) {
  std::string list;
  for (const std::string& schema : schemas) list += (list.empty() ? "" : ",") + schema;
  return "{\"anyOf\":[" + list + "]}";
}

std::string mapping_schema(const std::string& names, const std::string& values) {
  return "{\"type\":\"object\",\"propertyNames\":{\"pattern\":" + json_quoted(names) +
         "},\"additionalProperties\":" + values + "}";
}

std::string pattern_schema(const std::string& pattern) {
  return "{\"type\":\"string\",\"pattern\":" + json_quoted(pattern) + "}";
}

std::string enum_schema(const std::vector<std::string>& words) {
  std::string list;
  for (const std::string& word : words) list += (list.empty() ? "" : ",") + json_quoted(word);
  return "{\"enum\":[" + list + "]}";
}

std::string number_schema(double least, double greatest, bool whole) {
  std::string text = whole ? "{\"type\":\"integer\"" : "{\"type\":\"number\"";
  if (std::isfinite(least)) text += fmt::format(",\"minimum\":{}", least);
  if (std::isfinite(greatest)) text += fmt::format(",\"maximum\":{}", greatest);
  return text + "}";
}

}  // namespace cabinfield
