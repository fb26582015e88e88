// The page of `cabinfield report`: a template with results files in it, each deflated and written as base64.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace cabinfield::command {

struct CarriedResults {
  std::string name;      ///< shown in the page, without folders
  std::string left_out;  ///< what thinning left out, in words; empty if nothing
  std::vector<std::byte> bytes;
};

/// The template beside the installed program, or in its build tree; none if the page was not built.
std::optional<std::string> page_template();

/// The page with `files` in it. Throws std::logic_error if the template has no mark for them.
std::string filled_page(const std::string& page, std::span<const CarriedResults> files);

/// RFC 1951, without a header.
std::vector<std::byte> deflated(std::span<const std::byte> bytes);

/// Text escaped for an HTML attribute in double quotes.
std::string in_attribute(const std::string& text);

}  // namespace cabinfield::command
