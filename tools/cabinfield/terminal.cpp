#include "terminal.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cstdio>

namespace cabinfield::command {
namespace {

/// Columns that a UTF-8 text takes: its code points.
std::size_t width_of(const std::string& text) {
  return static_cast<std::size_t>(std::count_if(
      text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
}

}  // namespace

void print_faults(const Faults& faults) {
  for (const Fault& fault : faults.sorted()) fmt::print(stderr, "{}\n", to_string(fault));
}

void print_warnings(const Faults& faults) {
  for (const Fault& warning : faults.warnings()) fmt::print(stderr, "warning: {}\n", to_string(warning));
}

Progress progress_bar(bool quiet) {
  if (quiet || isatty(STDERR_FILENO) == 0) return {};
  return [shown = -1](double done) mutable {
    const int percent = static_cast<int>(done * 100);
    if (percent == shown) return;
    shown = percent;
    fmt::print(stderr, "\rsolving {:3d} %{}", percent, done >= 1 ? "\r               \r" : "");
    std::fflush(stderr);
  };
}

TextTable::TextTable(std::vector<std::string> heads, std::string right)
    : heads_(std::move(heads)), right_(std::move(right)) {
  right_.resize(heads_.size(), ' ');
}

void TextTable::add(std::vector<std::string> cells) {
  cells.resize(heads_.size());
  rows_.push_back(std::move(cells));
}

std::string TextTable::text(const std::string& indent) const {
  std::vector<std::size_t> width;
  for (std::size_t c = 0; c < heads_.size(); ++c) {
    width.push_back(width_of(heads_[c]));
    for (const auto& row : rows_) width[c] = std::max(width[c], width_of(row[c]));
  }
  auto line = [&](const std::vector<std::string>& cells) {
    std::string text = indent;
    for (std::size_t c = 0; c < cells.size(); ++c) {
      const std::string space(width[c] - width_of(cells[c]), ' ');
      text += right_[c] == 'r' ? space + cells[c] : cells[c] + space;
      if (c + 1 < cells.size()) text += "  ";
    }
    text.erase(text.find_last_not_of(' ') + 1);
    return text + "\n";
  };
  std::string text = line(heads_);
  for (const auto& row : rows_) text += line(row);
  return text;
}

}  // namespace cabinfield::command
