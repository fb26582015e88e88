#include "base/fault.h"

#include <algorithm>
#include <tuple>
#include <utility>

namespace cabinfield {
namespace {

void add_once(std::vector<Fault>& list, std::unordered_set<std::string>& seen, Fault fault) {
  if (seen.insert(to_string(fault)).second) list.push_back(std::move(fault));
}

std::string joined(const std::vector<Fault>& faults) {
  std::string text;
  for (const Fault& fault : faults) text += (text.empty() ? "" : "\n") + to_string(fault);
  return text;
}

}  // namespace

std::string to_string(const Fault& fault) {
  std::string text = fault.location.file;
  if (fault.location.line > 0)
    text += ":" + std::to_string(fault.location.line) + ":" + std::to_string(fault.location.column);
  return text.empty() ? fault.message : text + ": " + fault.message;
}

bool Fault::same_cause(const Fault& other) const {
  return code == other.code && subject == other.subject && location.file == other.location.file &&
         location.line == other.location.line;
}

void Faults::add(Fault fault) {
  ++times_added_;
  add_once(faults_, seen_faults_, std::move(fault));
}

void Faults::add(SourceLocation location, std::string message) {
  add(Fault{std::move(location), std::move(message)});
}

void Faults::warn(Fault warning) { add_once(warnings_, seen_warnings_, std::move(warning)); }

void Faults::warn(SourceLocation location, std::string message) {
  warn(Fault{std::move(location), std::move(message)});
}

void Faults::add_all(const Faults& others) {
  for (const Fault& fault : others.faults_) add(fault);
  for (const Fault& warning : others.warnings_) warn(warning);
}

std::vector<Fault> Faults::sorted() const {
  std::vector<std::string> files;
  for (const Fault& fault : faults_)
    if (std::find(files.begin(), files.end(), fault.location.file) == files.end())
      files.push_back(fault.location.file);
  auto file_rank = [&](const Fault& fault) {
    return std::find(files.begin(), files.end(), fault.location.file) - files.begin();
  };
  std::vector<Fault> list = faults_;
  std::stable_sort(list.begin(), list.end(), [&](const Fault& a, const Fault& b) {
    return std::tuple(file_rank(a), a.location.line, a.location.column) <
           std::tuple(file_rank(b), b.location.line, b.location.column);
  });
  return list;
}

InputError::InputError(std::vector<Fault> faults)
    : std::runtime_error(joined(faults)), faults_(std::move(faults)) {}

}  // namespace cabinfield
