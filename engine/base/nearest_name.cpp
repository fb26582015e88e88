#include "base/nearest_name.h"

#include <algorithm>

#include "base/quoted.h"

namespace cabinfield {
namespace {

std::string folded(std::string_view name) {
  std::string out(name);
  for (char& c : out) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    if (c == '-' || c == ' ') c = '_';
  }
  return out;
}

std::size_t allowed_edits(std::size_t longer) { return longer < 3 ? 0 : longer / 3; }

std::size_t edits(const std::string& a, const std::string& b) {
  const std::size_t columns = b.size() + 1;
  std::vector<std::size_t> before(columns), last(columns), now(columns);
  for (std::size_t j = 0; j < columns; ++j) last[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    now[0] = i;
    for (std::size_t j = 1; j < columns; ++j) {
      const std::size_t replaced = last[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
      now[j] = std::min({replaced, last[j] + 1, now[j - 1] + 1});
      const bool swapped = i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1];
      if (swapped) now[j] = std::min(now[j], before[j - 2] + 1);
    }
    before.swap(last);
    last.swap(now);
  }
  return last.back();
}

std::string only_name_beginning_with(const std::string& start, const std::vector<std::string>& known) {
  std::string found;
  if (start.size() < 3) return found;
  for (const std::string& name : known) {
    if (!folded(name).starts_with(start)) continue;
    if (!found.empty()) return {};
    found = name;
  }
  return found;
}

}  // namespace

std::string nearest_name(std::string_view given, const std::vector<std::string>& known) {
  const std::string wanted = folded(given);
  const std::string* nearest = nullptr;
  std::size_t fewest = 0;
  for (const std::string& name : known) {
    const std::size_t longer = std::max(wanted.size(), name.size());
    const std::size_t shorter = std::min(wanted.size(), name.size());
    const std::size_t allowed = allowed_edits(longer);
    if (longer - shorter > allowed) continue;
    const std::size_t count = edits(wanted, folded(name));
    if (count > allowed || (nearest != nullptr && count >= fewest)) continue;
    nearest = &name;
    fewest = count;
  }
  return nearest != nullptr ? *nearest : only_name_beginning_with(wanted, known);
}

std::string nearest_name_hint(std::string_view given, const std::vector<std::string>& known) {
  const std::string name = nearest_name(given, known);
  return name.empty() ? "" : "; did you mean " + quoted(name) + "?";
}

}  // namespace cabinfield
