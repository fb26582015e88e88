// Source locations of the parts of a spec, so that later checks can point at the line.
#pragma once

#include <map>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "base/fault.h"

namespace cabinfield {

/// Base of every spec: its source location and that of each given key. Keys with a fault while reading are
/// marked, so that no later check reports them again.
struct Given {
  SourceLocation location;
  std::map<std::string, SourceLocation, std::less<>> keys;
  /// Keys with a fault anywhere in their value, misspelt, or missing though required.
  std::set<std::string, std::less<>> at_fault;

  bool has(std::string_view key) const { return keys.contains(key); }
  bool sound() const { return at_fault.empty(); }
  bool sound(std::string_view key) const { return !at_fault.contains(key); }
  /// Location of the key's value, or of the whole spec if the key is absent.
  const SourceLocation& at(std::string_view key) const {
    auto found = keys.find(key);
    return found == keys.end() ? location : found->second;
  }
};

/// A value with its source location.
template <typename T>
struct Located {
  T value{};
  SourceLocation location;
};

/// An entry of a mapping by name, in file order.
template <typename T>
struct Named {
  std::string name;
  SourceLocation location;  ///< of the name
  T value{};
  bool broken = false;  ///< the whole value is faulty; only the name is known
};

}  // namespace cabinfield
