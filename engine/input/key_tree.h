// What stands inside a value, as the declared keys say: for whoever walks to a setting by its path.
#pragma once

#include <memory>
#include <string>
#include <utility>
#include <vector>

namespace cabinfield {

struct KeyTree;
using KeyTreePointer = std::shared_ptr<const KeyTree>;

/// Null stands for a value without an inside: a quantity, a word.
struct KeyTree {
  enum class Form {
    mapping,  ///< of declared keys
    names,    ///< of names of our own making, each with a value of one kind
    table,    ///< of quantities, each with a value of one kind
    list
  };
  Form form = Form::mapping;
  std::vector<std::pair<std::string, KeyTreePointer>> keys;  ///< of a mapping: those that are supported
  KeyTreePointer each;                                       ///< of the others: every value

  /// Whether a mapping has the key.
  bool has(const std::string& key) const {
    for (const auto& [name, inside] : keys)
      if (name == key) return true;
    return false;
  }
  /// What stands inside the value of a key or name, or inside each of a list.
  KeyTreePointer inside(const std::string& key) const {
    if (form != Form::mapping) return each;
    for (const auto& [name, value] : keys)
      if (name == key) return value;
    return nullptr;
  }
};

}  // namespace cabinfield
