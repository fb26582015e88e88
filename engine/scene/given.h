// Where in the file each part of a spec was given: what lets a later check point at the line.
#pragma once

#include <map>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "base/fault.h"

namespace cabinfield {

/// Base of every spec: its own place, and the place of each key that was given. What had a fault while it was
/// read is marked, so that no later check finds fault with it again.
struct Given {
  SourceLocation location;
  std::map<std::string, SourceLocation, std::less<>> keys;
  /// Keys with a fault anywhere in their value, misspelt, or missing though required.
  std::set<std::string, std::less<>> at_fault;

  bool has(std::string_view key) const { return keys.contains(key); }
  bool sound() const { return at_fault.empty(); }
  bool sound(std::string_view key) const { return !at_fault.contains(key); }
  /// Place of the key's value, or of the whole spec where the key was not given.
  const SourceLocation& at(std::string_view key) const {
    auto found = keys.find(key);
    return found == keys.end() ? location : found->second;
  }
};

/// A value with the place where it stands.
template <typename T>
struct Located {
  T value{};
  SourceLocation location;
};

/// An entry of a mapping from names: kept in the order of the file.
template <typename T>
struct Named {
  std::string name;
  SourceLocation location;  ///< of the name
  T value{};
  bool broken = false;  ///< the value was at fault as a whole, and only the name is known
};

}  // namespace cabinfield
