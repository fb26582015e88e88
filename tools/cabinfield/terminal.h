// What the command prints, and how it ends.
#pragma once

#include <string>
#include <vector>

#include "base/fault.h"
#include "base/parallel.h"

namespace cabinfield::command {

/// Exit statuses of every verb.
enum Status { done = 0, rule_violated = 1, input_wrong = 2, machine_failed = 3 };

/// One line a fault to stderr, in the order of the file.
void print_faults(const Faults& faults);
void print_warnings(const Faults& faults);

/// A bar on stderr where it is a terminal and not quiet; else nothing.
Progress progress_bar(bool quiet);

/// A table with columns as wide as their widest cell; numbers to the right where `right` says so.
class TextTable {
 public:
  explicit TextTable(std::vector<std::string> heads, std::string right = {});
  void add(std::vector<std::string> cells);
  bool empty() const { return rows_.empty(); }
  std::string text(const std::string& indent = "  ") const;

 private:
  std::vector<std::vector<std::string>> rows_;
  std::vector<std::string> heads_;
  std::string right_;  // one letter a column: 'r' for right, else left
};

}  // namespace cabinfield::command
