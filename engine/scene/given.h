// Where in the file each part of a spec was given: what lets a later check point at the line.
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "base/fault.h"

namespace cabinfield {

/// Base of every spec: its own place, and the place of each key that was given.
struct Given {
  Place place;
  std::map<std::string, Place, std::less<>> keys;

  bool has(std::string_view key) const { return keys.contains(key); }
  /// Place of the key's value, or of the whole spec where the key was not given.
  const Place& at(std::string_view key) const {
    auto found = keys.find(key);
    return found == keys.end() ? place : found->second;
  }
};

/// A value with the place where it stands.
template <typename T>
struct Placed {
  T value{};
  Place place;
};

/// An entry of a mapping from names: kept in the order of the file.
template <typename T>
struct Named {
  std::string name;
  Place place;  ///< of the name
  T value{};
};

}  // namespace cabinfield
