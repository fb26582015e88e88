#include "command_files.h"

#include <fmt/format.h>

#include <filesystem>
#include <system_error>

namespace cabinfield::command {
namespace {

namespace fs = std::filesystem;

/// Without `.`, `..` and links, as far as the path exists.
fs::path plain_path(const std::string& name) {
  std::error_code failed;
  const fs::path whole = fs::absolute(name, failed);
  const fs::path plain = fs::weakly_canonical(whole, failed);
  return failed ? whole.lexically_normal() : plain;
}

}  // namespace

bool same_file(const std::string& one, const std::string& other) {
  if (one.empty() || other.empty()) return false;
  std::error_code not_there;
  return fs::equivalent(one, other, not_there) || plain_path(one) == plain_path(other);
}

bool files_are_apart(const std::vector<ReadFile>& read, const std::vector<WrittenFile>& written) {
  bool apart = true;
  const auto wrong = [&](const std::string& option, const std::string& words) {
    fmt::print(stderr, "{}: {}\n", option, words);
    apart = false;
  };
  for (const ReadFile& file : read)
    if (file.path.empty() && !file.option.empty())
      wrong(file.option, "'' is not a file name: give " + file.words);
  for (std::size_t w = 0; w < written.size(); ++w) {
    const WrittenFile& file = written[w];
    if (file.path.empty()) {
      wrong(file.option, "'' is not a file name: give one for " + file.words);
      continue;
    }
    const auto clash = [&](const std::string& words) {
      wrong(file.option, fmt::format("{} is {}: give {} another name", file.path, words, file.words));
    };
    for (const ReadFile& other : read)
      if (same_file(file.path, other.path)) {
        clash(other.words);
        break;
      }
    for (std::size_t o = 0; o < w; ++o)
      if (same_file(file.path, written[o].path)) {
        clash(written[o].place_words);
        break;
      }
  }
  return apart;
}

}  // namespace cabinfield::command
