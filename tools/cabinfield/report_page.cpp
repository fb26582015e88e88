#include "report_page.h"

#include <fmt/format.h>
#include <zlib.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <new>
#include <stdexcept>

#include "base/base64.h"

namespace cabinfield::command {
namespace {

/// The mark in the template where the files go.
constexpr const char* room = "<!--results-->";

}  // namespace

std::optional<std::string> page_template() {
  std::vector<std::filesystem::path> places;
  std::error_code failed;
  const auto program = std::filesystem::read_symlink("/proc/self/exe", failed);
  if (!failed) places.push_back(program.parent_path().parent_path() / "share" / "cabinfield" / "report.html");
  places.emplace_back(CABINFIELD_REPORT_PAGE);
  for (const auto& location : places) {
    std::ifstream stream(location, std::ios::binary);
    if (!stream) continue;
    std::string page{std::istreambuf_iterator<char>(stream), {}};
    if (!page.empty()) return page;
  }
  return std::nullopt;
}

std::vector<std::byte> deflated(std::span<const std::byte> bytes) {
  z_stream stream{};
  constexpr int no_header = -MAX_WBITS, memory_level = 8;
  if (deflateInit2(&stream, Z_DEFAULT_COMPRESSION, Z_DEFLATED, no_header, memory_level, Z_DEFAULT_STRATEGY) !=
      Z_OK)
    throw std::bad_alloc();
  std::vector<std::byte> packed(deflateBound(&stream, bytes.size()));
  stream.next_in = reinterpret_cast<Bytef*>(const_cast<std::byte*>(bytes.data()));
  stream.avail_in = static_cast<uInt>(bytes.size());
  stream.next_out = reinterpret_cast<Bytef*>(packed.data());
  stream.avail_out = static_cast<uInt>(packed.size());
  const int ended = deflate(&stream, Z_FINISH);
  const std::size_t size = stream.total_out;
  deflateEnd(&stream);
  if (ended != Z_STREAM_END) throw std::bad_alloc();
  packed.resize(size);
  return packed;
}

std::string in_attribute(const std::string& text) {
  std::string escaped;
  for (const char letter : text) switch (letter) {
      case '&':
        escaped += "&amp;";
        break;
      case '<':
        escaped += "&lt;";
        break;
      case '>':
        escaped += "&gt;";
        break;
      case '"':
        escaped += "&quot;";
        break;
      default:
        escaped += letter;
    }
  return escaped;
}

std::string filled_page(const std::string& page, std::span<const CarriedResults> files) {
  const std::size_t at = page.find(room);
  if (at == std::string::npos) throw std::logic_error("the template of the report has no mark for results");
  std::string carried;
  for (const CarriedResults& file : files)
    carried +=
        fmt::format("<script type=\"text/plain\" data-results=\"{}\" data-thinned=\"{}\">{}</script>\n",
                    in_attribute(file.name), in_attribute(file.left_out), base64(deflated(file.bytes)));
  return page.substr(0, at) + carried + page.substr(at + std::string(room).size());
}

}  // namespace cabinfield::command
