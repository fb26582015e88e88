// The file side of a document: reading within the limit, and whether it is text at all.
#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <system_error>

#include "input/document.h"
#include "input/document_content.h"

namespace cabinfield {
namespace {

struct CloseFile {
  void operator()(std::FILE* file) const { std::fclose(file); }
};

std::string in_megabytes(std::uintmax_t bytes) {
  char text[32];
  std::snprintf(text, sizeof text, "%.1f MB", static_cast<double>(bytes) / 1e6);
  return text;
}

std::string too_large(const std::string& size) {
  return "the file is larger than the " + in_megabytes(largest_document_bytes) + " allowed" + size;
}

std::string reason(int number) { return std::generic_category().message(number); }

// Bytes that follow the first one of a UTF-8 sequence, and the least and greatest second byte (RFC 3629,
// section 4).
struct Sequence {
  int following = -1;
  unsigned char least = 0x80;
  unsigned char greatest = 0xBF;
};

Sequence sequence_begun_by(unsigned char byte) {
  if (byte < 0x80) return {0};
  if (byte >= 0xC2 && byte <= 0xDF) return {1};
  if (byte == 0xE0) return {2, 0xA0, 0xBF};
  if (byte == 0xED) return {2, 0x80, 0x9F};
  if (byte >= 0xE1 && byte <= 0xEF) return {2};
  if (byte == 0xF0) return {3, 0x90, 0xBF};
  if (byte >= 0xF1 && byte <= 0xF3) return {3};
  if (byte == 0xF4) return {3, 0x80, 0x8F};
  return {};
}

// Bytes of the character at `at`, or 0 where it is not UTF-8.
std::size_t character_length(const std::string& text, std::size_t at) {
  const Sequence sequence = sequence_begun_by(static_cast<unsigned char>(text[at]));
  if (sequence.following < 0 || text.size() - at <= static_cast<std::size_t>(sequence.following)) return 0;
  for (int i = 1; i <= sequence.following; ++i) {
    const auto byte = static_cast<unsigned char>(text[at + static_cast<std::size_t>(i)]);
    if (byte < (i == 1 ? sequence.least : 0x80) || byte > (i == 1 ? sequence.greatest : 0xBF)) return 0;
  }
  return static_cast<std::size_t>(sequence.following) + 1;
}

bool is_stray_control(char c) {
  const auto code = static_cast<unsigned char>(c);
  return (code < 0x20 && c != '\n' && c != '\r' && c != '\t') || code == 0x7F;
}

}  // namespace

std::string read_text_file(const std::string& path, Faults& faults) {
  const SourceLocation location{path, 0, 0};
  std::error_code error;
  const std::filesystem::file_status status = std::filesystem::status(path, error);
  if (std::filesystem::is_directory(status)) {
    faults.add(location, "this is a directory, expected a file");
    return "";
  }
  if (status.type() == std::filesystem::file_type::not_found) {
    faults.add(location, "there is no such file");
    return "";
  }
  const std::unique_ptr<std::FILE, CloseFile> file(std::fopen(path.c_str(), "rb"));
  if (!file) {
    faults.add(location, "the file cannot be read: " + reason(errno));
    return "";
  }
  if (std::filesystem::is_regular_file(status)) {
    const std::uintmax_t size = std::filesystem::file_size(path, error);
    if (!error && size > largest_document_bytes) {
      faults.add(location, too_large(": it has " + in_megabytes(size)));
      return "";
    }
  }
  std::string text;
  char part[65536];
  while (const std::size_t count = std::fread(part, 1, sizeof part, file.get())) {
    text.append(part, count);
    if (text.size() > largest_document_bytes) {
      faults.add(location, too_large(""));
      return "";
    }
  }
  if (std::ferror(file.get()) != 0) {
    faults.add(location, "the file cannot be read: " + reason(errno));
    return "";
  }
  return text;
}

TextFlaw find_text_flaw(const std::string& text) {
  if (text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF"))
    return {1, 1, "the text is UTF-16: save it as UTF-8"};
  TextFlaw at{1, 1, ""};
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t length = character_length(text, i);
    if (length == 0) at.message = "this byte is not UTF-8 text: save the file as UTF-8";
    if (length == 1 && is_stray_control(text[i]))
      at.message = text[i] == '\0' ? "a NUL byte: this is not a text file"
                                   : "a control character: this is not plain text";
    if (!at.message.empty()) return at;
    const bool line_ends = text[i] == '\n';
    at.line += line_ends ? 1 : 0;
    at.column = line_ends ? 1 : at.column + 1;
    i += length;
  }
  return at;
}

}  // namespace cabinfield
