// JSON Schema (draft 7, which editors know best) from declared keys: what a file may hold, for completion and
// for marking slips while typing.
#pragma once

#include <string>
#include <vector>

namespace cabinfield {

struct KeyLine;

std::string json_quoted(const std::string& text);

/// A schema with a description beside it.
std::string described(const std::string& schema, const std::string& words);

/// A mapping with these keys and no others.
std::string object_schema(const std::vector<KeyLine>& keys);

/// `{"type":"array",…}`: from `least` to `greatest` items.
std::string array_schema(const std::string& items, int least, int greatest);

/// Either of some.
std::string any_of(const std::vector<std::string>& schemas);

/// A mapping from names that fit a pattern to values of one schema.
std::string mapping_schema(const std::string& names, const std::string& values);

/// Text that fits a pattern.
std::string pattern_schema(const std::string& pattern);

/// One of these texts.
std::string enum_schema(const std::vector<std::string>& words);

/// A number (or whole number) within limits; infinite ones are none.
std::string number_schema(double least, double greatest, bool whole = false);

}  // namespace cabinfield
