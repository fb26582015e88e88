// Base64 text of bytes.
#pragma once

#include <cstddef>
#include <span>
#include <string>

namespace cabinfield {

/// RFC 4648, section 4: the standard alphabet with padding, without line breaks.
std::string base64(std::span<const std::byte> bytes);

}  // namespace cabinfield
