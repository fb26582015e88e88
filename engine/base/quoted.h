// User's text inside a message: in quotes, on one line, cut short.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace cabinfield {

/// `'text'`, with line breaks and control characters as escapes, cut after about 60 bytes (never inside a
/// character).
/// Headers call it by its full name: where <iomanip> is included, a bare `quoted` finds std::quoted.
std::string quoted(std::string_view text);

/// Bytes of the control character that begins there in UTF-8 text, 0 where none does: ISO/IEC 6429 (ECMA-48)
/// sets C0 and C1, and DEL, which a terminal obeys instead of showing them.
std::size_t control_character_bytes(std::string_view text, std::size_t at);

/// What `quoted` shows, without the quotes: for a number that is to be repeated.
std::string shortened(std::string_view text);

/// `a, b, c`: a list for messages.
template <typename Texts>
std::string joined_by_commas(const Texts& texts) {
  std::string line;
  for (const auto& text : texts) {
    if (!line.empty()) line += ", ";
    line += text;
  }
  return line;
}

}  // namespace cabinfield
