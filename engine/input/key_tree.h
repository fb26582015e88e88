// What is inside a value, as the declared keys say: for code that walks to a setting by its path, or to all
// geometry of a document by its roles.
#pragma once

#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "geometry/geometry_role.h"

namespace cabinfield {

struct KeyTree;
using KeyTreePointer = std::shared_ptr<const KeyTree>;

/// Null for a value without an inside and without geometry: a frequency, a word.
struct KeyTree {
  enum class Form {
    mapping,  ///< of declared keys
    names,    ///< of names of our own making, each with a value of one kind
    table,    ///< of quantities, each with a value of one kind
    list,
    value  ///< a scalar: a coordinate, a length, a name with sides
  };
  Form form = Form::mapping;
  std::vector<std::pair<std::string, KeyTreePointer>> keys = {};  ///< of a mapping: those that are supported
  KeyTreePointer each = nullptr;                                  ///< of the others: every value
  GeometryRole role = GeometryRole::none;                         ///< of a value, or of all numbers of a list
  KeyTreePointer other = nullptr;  ///< the other form, where the value may have either of two

  /// Whether a mapping has the key.
  bool has(const std::string& key) const {
    for (const auto& [name, inside] : keys)
      if (name == key) return true;
    return false;
  }
  /// What is inside the value of a key or name, or inside each of a list.
  KeyTreePointer inside(const std::string& key) const {
    if (form != Form::mapping) return each;
    for (const auto& [name, value] : keys)
      if (name == key) return value;
    return nullptr;
  }
};

}  // namespace cabinfield
