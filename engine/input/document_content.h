// What stands behind a Node; for the parser only.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "input/document.h"

namespace cabinfield {

struct Node::Content {
  NodeKind kind = NodeKind::null;
  SourceLocation location;
  std::string text;
  bool quoted = false;
  std::vector<Node> items;
  std::vector<Entry> entries;
};

/// Where text stops being text that YAML allows: a byte that is not UTF-8, a NUL or another control
/// character. Columns count characters.
struct TextFlaw {
  int line = 0;
  int column = 0;
  std::string message;  ///< empty where the text is sound
};
TextFlaw find_text_flaw(const std::string& text);

}  // namespace cabinfield
