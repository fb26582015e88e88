#include "base/quoted.h"

namespace cabinfield {
namespace {

constexpr std::size_t longest_shown = 60;

bool continues_character(char c) { return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U; }

void append_printable(std::string& line, char c) {
  static constexpr char digits[] = "0123456789abcdef";
  const auto code = static_cast<unsigned char>(c);
  if (c == '\n') {
    line += "\\n";
  } else if (c == '\t') {
    line += "\\t";
  } else if (code < 0x20 || code == 0x7F) {
    line += "\\x";
    line += digits[code >> 4];
    line += digits[code & 0xF];
  } else {
    line += c;
  }
}

}  // namespace

std::string quoted(std::string_view text) {
  std::size_t length = text.size();
  if (length > longest_shown) {
    length = longest_shown;
    while (length > 0 && continues_character(text[length])) --length;
  }
  std::string line = "'";
  for (char c : text.substr(0, length)) append_printable(line, c);
  line += length < text.size() ? "...'" : "'";
  return line;
}

}  // namespace cabinfield
