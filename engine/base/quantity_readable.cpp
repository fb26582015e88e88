// Quantities in customary units, for messages and tables.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

#include "base/quantity.h"
#include "base/quantity_units.h"

namespace cabinfield {
namespace {

const ShownUnit& unit_for(double size, Quantity kind) {
  const auto units = quantity_words(kind).shown;
  const ShownUnit* suited = &units.front();
  for (const ShownUnit& unit : units)
    if (size >= unit.from * (1 - 1e-9)) suited = &unit;
  return *suited;
}

std::string four_figures(double value) {
  if (!std::isfinite(value) || std::abs(value) >= 1e12) return fmt::format("{:.4g}", value);
  const double magnitude = value == 0 ? 0 : std::floor(std::log10(std::abs(value)));
  if (magnitude >= 3) return fmt::format("{:.0f}", value);
  if (magnitude < -6) return fmt::format("{:.4g}", value);
  std::string text = fmt::format("{:.{}f}", value, static_cast<int>(3 - magnitude));
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text == "-0" ? "0" : text;
}

std::string in_unit(double value, const ShownUnit& unit) {
  return four_figures((value - unit.zero) / unit.scale) + " " + std::string(unit.unit);
}

}  // namespace

std::string readable_quantity(double value, Quantity kind) {
  return in_unit(value, unit_for(std::abs(value), kind));
}

std::string readable_range(double least, double greatest, Quantity kind) {
  const ShownUnit& unit = unit_for(std::max(std::abs(least), std::abs(greatest)), kind);
  return in_unit(least, unit) + " to " + in_unit(greatest, unit);
}

}  // namespace cabinfield
