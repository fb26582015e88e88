// User's text inside a message: in quotes, on one line, cut short.
#pragma once

#include <string>
#include <string_view>

namespace cabinfield {

/// `'text'`, with line breaks and control characters as escapes, cut after about 60 bytes (never inside a
/// character).
/// Headers call it by its full name: where <iomanip> is included, a bare `quoted` finds std::quoted.
std::string quoted(std::string_view text);

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
