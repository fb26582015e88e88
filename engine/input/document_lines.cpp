#include "input/document_lines.h"

namespace cabinfield {

bool DocumentLines::quote_stays_open(const YAML::Mark& mark) const {
  constexpr std::string_view blank = " \t\r\n";
  if (mark.is_null()) return false;
  std::size_t at = text_.find_first_not_of(blank, static_cast<std::size_t>(mark.pos));
  while (at != std::string_view::npos && (text_[at] == '&' || text_[at] == '!')) {
    at = text_.find_first_of(blank, at);
    if (at != std::string_view::npos) at = text_.find_first_not_of(blank, at);
  }
  if (at == std::string_view::npos || (text_[at] != '"' && text_[at] != '\'')) return false;
  const char quote = text_[at];
  for (++at; at < text_.size(); ++at) {
    if (quote == '"' && text_[at] == '\\') {
      ++at;
    } else if (text_[at] == quote) {
      // Two single quotes within single quotes stand for one.
      if (quote == '"' || at + 1 == text_.size() || text_[at + 1] != quote) return false;
      ++at;
    }
  }
  return true;
}

}  // namespace cabinfield
