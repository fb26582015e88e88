// What each quantity is called and measured in, and the one door to udunits2.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "base/quantity.h"

namespace cabinfield {

/// A unit for people: shown from this magnitude (SI) on. shown = (value - zero) / scale.
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
  std::span<const std::string_view> usual;  // spellings, to recognise one in the wrong case
};

const QuantityWords& quantity_words(Quantity kind);

/// A unit as udunits2 understands it: what it measures ("m-1.kg.s-2") and value_SI = (slope number) + offset.
struct UnitMeaning {
  std::string dimension;
  double slope = 1;
  double offset = 0;
};

/// Empty where udunits2 does not know the unit. `unit` is ASCII, without numbers other than exponents.
std::optional<UnitMeaning> unit_meaning(const std::string& unit);

/// What a dimension is in words ("a mass"), or empty where it has no common name.
std::string_view dimension_noun(const std::string& dimension);

}  // namespace cabinfield
