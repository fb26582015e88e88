// The page of `cabinfield report`: a template with room for results files, each deflated and written as
// base64.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace cabinfield::command {

struct CarriedResults {
  std::string name;      ///< shown in the page, without folders
  std::string left_out;  ///< what thinning took, in words; empty where nothing
  std::vector<std::byte> bytes;
};

/// The template beside the installed program, or of the build that the program comes from; none where the
/// page was not built.
std::optional<std::string> page_template();

/// The page with `files` in it. The template must have room for them (throws std::logic_error).
std::string filled_page(const std::string& page, std::span<const CarriedResults> files);

/// RFC 4648, section 4.
std::string base64(std::span<const std::byte> bytes);

/// RFC 1951, without any header.
std::vector<std::byte> deflated(std::span<const std::byte> bytes);

/// Text that may stand in an HTML attribute in double quotes.
std::string in_attribute(const std::string& text);

}  // namespace cabinfield::command
