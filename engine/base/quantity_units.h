// Names and units of each quantity, and the only use of udunits2.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "base/quantity.h"

namespace cabinfield {

/// A customary unit, shown from the magnitude `from` (SI) on: shown = (value - zero) / scale.
struct ShownUnit {
  std::string_view unit;
  double scale = 1;
  double from = 0;
  double zero = 0;
};

/// One row for each Quantity.
struct QuantityWords {
  std::string_view noun;                    // "a frequency"
  std::string_view si;                      // as udunits2 spells it
  std::string_view examples;                // "62 Hz or 2.8 kHz"
  std::span<const ShownUnit> shown;         // from small to large
  std::span<const std::string_view> usual;  // usual spellings, to recognise one in the wrong case
};

const QuantityWords& quantity_words(Quantity kind);

/// A unit according to udunits2: its dimension ("m-1.kg.s-2"), and value_SI = slope number + offset.
struct UnitMeaning {
  std::string dimension;
  double slope = 1;
  double offset = 0;
};

/// Empty if udunits2 does not know the unit. `unit` is ASCII, without numbers other than exponents.
std::optional<UnitMeaning> unit_meaning(const std::string& unit);

/// The noun of a dimension ("a mass"), or empty if it has no common name.
std::string_view dimension_noun(const std::string& dimension);

}  // namespace cabinfield
