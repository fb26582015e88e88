// User text in a message: in quotes, on one line, shortened.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace cabinfield {

/// `'text'`, with line breaks and control characters as escapes, cut after about 60 bytes (never inside a
/// character). Headers must call it as cabinfield::quoted: after <iomanip>, `quoted` may find std::quoted.
std::string quoted(std::string_view text);

/// Bytes of the control character that begins at `at` in UTF-8 text, 0 if none does: sets C0 and C1 of
/// ISO/IEC 6429 (ECMA-48), and DEL, which a terminal would execute instead of printing.
std::size_t control_character_bytes(std::string_view text, std::size_t at);

/// As `quoted`, without the quotes: to repeat a number.
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
