// Groups of names that cables join, directly or over others.
#pragma once

#include <map>
#include <string>

namespace cabinfield {

class JoinedNodes {
 public:
  /// The name that represents the group of this one.
  std::string group(const std::string& name) const {
    const auto found = parent_.find(name);
    return found == parent_.end() ? name : group(found->second);
  }
  void join(const std::string& one, const std::string& other) {
    const std::string first = group(one), second = group(other);
    if (first != second) parent_[first] = second;
  }
  bool joined(const std::string& one, const std::string& other) const { return group(one) == group(other); }

 private:
  std::map<std::string, std::string> parent_;
};

}  // namespace cabinfield
