#include "base/base64.h"

#include <cstdint>

namespace cabinfield {

std::string base64(std::span<const std::byte> bytes) {
  constexpr char letters[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string text;
  text.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    std::uint32_t three = 0;
    for (std::size_t n = 0; n < 3; ++n)
      three = three << 8 | (i + n < bytes.size() ? std::to_integer<std::uint32_t>(bytes[i + n]) : 0);
    for (int shift : {18, 12, 6, 0}) text += letters[three >> shift & 63];
  }
  for (std::size_t n = 0; n < (3 - bytes.size() % 3) % 3; ++n) text[text.size() - 1 - n] = '=';
  return text;
}

}  // namespace cabinfield
