// Places in a text from the marks of the YAML library; for the parser only.
#pragma once

#include <yaml-cpp/mark.h>

#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/fault.h"

namespace cabinfield {

// yaml-cpp counts bytes from 0; a person counts characters from 1.
class DocumentLines {
 public:
  /// The text must outlive it.
  DocumentLines(const std::string& text, std::string file) : text_(text), file_(std::move(file)) {
    bool has_wide = false;
    for (char c : text) has_wide = has_wide || static_cast<unsigned char>(c) >= 0x80;
    if (!has_wide) return;
    continuing_.reserve(text.size() + 1);
    continuing_.push_back(0);
    for (char c : text)
      continuing_.push_back(continuing_.back() + ((static_cast<unsigned char>(c) & 0xC0U) == 0x80U ? 1 : 0));
  }

  SourceLocation location(const YAML::Mark& mark) const {
    if (mark.is_null()) return {file_, 0, 0};
    int column = mark.column;
    const auto end = static_cast<std::size_t>(mark.pos);
    if (end < continuing_.size() && mark.pos >= mark.column)
      column -= continuing_[end] - continuing_[end - static_cast<std::size_t>(mark.column)];
    return {file_, mark.line + 1, column + 1};
  }

  /// Whether a scalar begins here (with its tag and anchor) whose quote never ends: the library takes all
  /// that follows as its text, to the end of the file.
  bool quote_stays_open(const YAML::Mark& mark) const;

 private:
  std::string_view text_;
  std::string file_;
  std::vector<int> continuing_;  // continuation bytes before each byte; empty for ASCII
};

}  // namespace cabinfield
