#include "base/quoted.h"

#include <algorithm>

namespace cabinfield {
namespace {

constexpr std::size_t longest_shown = 60;

bool continues_character(char c) { return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U; }

unsigned char byte_at(std::string_view text, std::size_t at) {
  return at < text.size() ? static_cast<unsigned char>(text[at]) : 0;
}

/// Bytes of the character that begins at `at`, 0 if none does (RFC 3629, section 4: no over-long forms, no
/// surrogates, nothing beyond U+10FFFF).
std::size_t character_bytes(std::string_view text, std::size_t at) {
  const unsigned char first = byte_at(text, at), second = byte_at(text, at + 1);
  if (first < 0x80) return 1;
  const std::size_t length = first >= 0xC2 && first <= 0xDF   ? 2
                             : first >= 0xE0 && first <= 0xEF ? 3
                             : first >= 0xF0 && first <= 0xF4 ? 4
                                                              : 0;
  if (length == 0 || at + length > text.size()) return 0;
  for (std::size_t i = 1; i < length; ++i)
    if (!continues_character(text[at + i])) return 0;
  const bool wrong = (first == 0xE0 && second < 0xA0) || (first == 0xED && second >= 0xA0) ||
                     (first == 0xF0 && second < 0x90) || (first == 0xF4 && second >= 0x90);
  return wrong ? 0 : length;
}

std::string escaped(unsigned char code) {
  static constexpr char digits[] = "0123456789abcdef";
  if (code == '\n') return "\\n";
  if (code == '\t') return "\\t";
  return {'\\', 'x', digits[code >> 4], digits[code & 0xF]};
}

}  // namespace

std::size_t control_character_bytes(std::string_view text, std::size_t at) {
  const unsigned char first = byte_at(text, at);
  if (first < 0x20 || first == 0x7F) return 1;
  const unsigned char second = byte_at(text, at + 1);
  return first == 0xC2 && second >= 0x80 && second < 0xA0 ? 2 : 0;
}

std::string shortened(std::string_view text) {
  std::size_t length = text.size();
  if (length > longest_shown) {
    length = longest_shown;
    while (length > 0 && continues_character(text[length])) --length;
  }
  std::string line;
  for (std::size_t i = 0; i < length; ++i) {
    const std::size_t control = control_character_bytes(text, i);
    if (control == 0) {
      const std::size_t character = character_bytes(text, i);
      if (character == 0)
        line += escaped(byte_at(text, i));
      else
        line += text.substr(i, character);
      i += std::max<std::size_t>(character, 1) - 1;
      continue;
    }
    i += control - 1;
    line += escaped(byte_at(text, i));
  }
  if (length < text.size()) line += "...";
  return line;
}

std::string quoted(std::string_view text) { return "'" + shortened(text) + "'"; }

}  // namespace cabinfield
