// A document back to text.
#include <cstddef>

#include "input/document.h"
#include "input/writing.h"

namespace cabinfield {
namespace {

constexpr std::size_t longest_line = 100;

/// Characters that a node takes on one line, roughly.
std::size_t width(const Node& node) {
  std::size_t sum = node.text().size() + 2;
  for (const Node& item : node.items()) sum += width(item);
  for (const Entry& entry : node.entries()) sum += entry.key.size() + 2 + width(entry.value);
  return sum;
}

/// What reads well on one line: short lists, and mappings within which no mapping holds another.
bool fits_on_one_line(const Node& node) {
  if (width(node) > longest_line) return false;
  for (const Entry& entry : node.entries())
    for (const Entry& inner : entry.value.entries())
      if (!inner.value.entries().empty()) return false;
  return true;
}

/// The scene itself stands on lines of its own, and so do its sections of things.
bool has_lines_of_its_own(const Node& node, int level) {
  if (level > 1) return false;
  for (const Entry& entry : node.entries())
    if (entry.value.kind() == NodeKind::mapping) return true;
  return level == 0;
}

void write(const Node& node, Writing& writing, int level) {
  switch (node.kind()) {
    case NodeKind::null:
      writing.nothing();
      break;
    case NodeKind::scalar:
      if (node.quoted()) {
        writing.text_in_quotes(node.text());
      } else {
        writing.unquoted(node.text());
      }
      break;
    case NodeKind::sequence:
      writing.begin_list(fits_on_one_line(node));
      for (const Node& item : node.items()) write(item, writing, level + 1);
      writing.end_list();
      break;
    case NodeKind::mapping:
      writing.begin_mapping(!has_lines_of_its_own(node, level) && fits_on_one_line(node));
      for (const Entry& entry : node.entries()) {
        writing.key_as_it_stood(entry.key);
        write(entry.value, writing, level + 1);
      }
      writing.end_mapping();
      break;
  }
}

}  // namespace

void write_node(const Node& node, Writing& writing) { write(node, writing, 2); }

std::string document_text(const Node& root) {
  Writing writing;
  write(root, writing, 0);
  return writing.text_so_far();
}

}  // namespace cabinfield
