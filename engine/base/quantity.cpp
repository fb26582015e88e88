#include "base/quantity.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <limits>
#include <utility>

#include "base/quantity_units.h"
#include "base/quoted.h"

namespace cabinfield {
namespace {

// Symbols as data sheets print them, and the spelling that from_chars and udunits2 read.
constexpr std::pair<std::string_view, std::string_view> spellings[] = {
    {"\u00A0", " "}, {"\u202F", " "},   {"\u2009", " "},   {"\u2212", "-"},  {"\u00B5", "u"},
    {"\u03BC", "u"}, {"\u03A9", "ohm"}, {"\u2126", "ohm"}, {"\u00B2", "2"},  {"\u00B3", "3"},
    {"\u00B7", "."}, {"\u22C5", "."},   {"\u00B0", "deg"}, {"\u2033", "\""}, {"\t", " "},
};

std::string plain(std::string_view text) {
  std::string out(text);
  for (const auto& [printed, spelt] : spellings) {
    std::size_t at = 0;
    while ((at = out.find(printed, at)) != std::string::npos) {
      out.replace(at, printed.size(), spelt);
      at += spelt.size();
    }
  }
  const std::size_t first = out.find_first_not_of(" \r\n");
  if (first == std::string::npos) return "";
  return out.substr(first, out.find_last_not_of(" \r\n") - first + 1);
}

bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }

std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  return out;
}

ParsedQuantity wrong(std::string error) { return {std::nullopt, std::move(error)}; }

std::string such_as(Quantity kind) {
  const QuantityWords& words = quantity_words(kind);
  return std::string(words.noun) + " such as " + std::string(words.examples);
}

struct Split {
  double number = 0;
  std::string number_text;
  std::string unit;
  std::string error;
};

/// Possible meanings of a number with a comma, in quotes. Three digits after it may be thousands or decimals;
/// both are offered.
std::string without_comma(const char* begin, const char* comma, const char* end) {
  std::string pointed(begin, end), joined(begin, comma);
  pointed[static_cast<std::size_t>(comma - begin)] = '.';
  constexpr int group = 3;
  int groups = 0;
  const char* at = comma;
  while (end - at > group && *at == ',' && std::all_of(at + 1, at + 1 + group, is_digit)) {
    joined.append(at + 1, group);
    at += 1 + group;
    ++groups;
  }
  const bool thousands =
      groups > 0 && (at == end || !is_digit(*at)) && *begin != '0' && std::find(begin, comma, '.') == comma;
  if (!thousands) return quoted(pointed);
  joined.append(at, end);
  return groups > 1 ? quoted(joined)
                    : quoted(joined) + " for thousands or " + quoted(pointed) + " for decimals";
}

Split split(const std::string& text, const std::string& shown, Quantity kind) {
  Split parts;
  if (text.empty()) {
    parts.error = shown + " is empty, expected " + such_as(kind);
    return parts;
  }
  const char* begin = text.data();
  const char* const end = begin + text.size();
  const char* start = *begin == '+' ? begin + 1 : begin;
  const char* digits = start < end && *start == '-' && *begin != '+' ? start + 1 : start;
  const bool numeric =
      digits < end && (is_digit(*digits) || (*digits == '.' && digits + 1 < end && is_digit(digits[1])));
  if (!numeric) {
    parts.error = shown + " does not begin with a number, expected " + such_as(kind);
    return parts;
  }
  const auto [stop, status] = std::from_chars(start, end, parts.number);
  if (status == std::errc::result_out_of_range) {
    parts.error = shown + " is too large or too small a number, expected " + such_as(kind);
    return parts;
  }
  if (stop + 1 < end && *stop == ',' && is_digit(stop[1])) {
    parts.error =
        shown +
        " has a comma in the number: write a decimal point and no separators between thousands, as in " +
        without_comma(begin, stop, end);
    return parts;
  }
  parts.number_text.assign(start, stop);
  parts.unit.assign(std::find_if(stop, end, [](char c) { return c != ' '; }), end);
  return parts;
}

// udunits2 also accepts numbers inside a unit, and shifted and logarithmic units; none is allowed here. A
// digit may only be an exponent.
bool is_clean_unit(const std::string& unit) {
  if (!is_letter(unit[0]) && unit != "%") return false;
  for (std::size_t i = 1; i < unit.size(); ++i) {
    if (static_cast<unsigned char>(unit[i]) >= 0x80 || unit[i] == '@') return false;
    if (!is_digit(unit[i])) continue;
    const char before = unit[i - 1];
    const bool raised = before == '^' || (before == '*' && i > 1 && unit[i - 2] == '*');
    const bool inverse = before == '-' && i > 1 && (is_letter(unit[i - 2]) || unit[i - 2] == '^');
    if (!is_letter(before) && !is_digit(before) && !raised && !inverse) return false;
  }
  const std::string folded = lower(unit);
  for (std::string_view word : {"lg(", "ln(", "lb(", "since", "after", "from", "ref", "re "})
    if (folded.find(word) != std::string::npos) return false;
  return true;
}

// Common spellings that udunits2 reads as something else: a terametre, an arcsecond.
std::string meant_unit(const std::string& unit, Quantity kind) {
  if (unit == "Tm") return "T.m";
  if (unit == "\"" && kind == Quantity::length) return "in";
  if (unit == "deg C" || unit == "deg F") return unit == "deg C" ? "degC" : "degF";
  return unit;
}

std::string suggestion(const Split& parts, Quantity kind) {
  if (kind == Quantity::temperature) {
    const std::string folded = lower(parts.unit);
    if (folded == "c" || folded == "f" || folded == "deg")
      return "; did you mean " + quoted(parts.number_text + (folded == "f" ? " degF" : " degC")) + "?";
  }
  for (std::string_view usual : quantity_words(kind).usual)
    if (usual != parts.unit && lower(usual) == lower(parts.unit))
      return "; did you mean " + quoted(parts.number_text + " " + std::string(usual)) + "?";
  return "";
}

ParsedQuantity unknown_unit(const Split& parts, const std::string& shown, Quantity kind) {
  return wrong(shown + ": " + quoted(parts.unit) + " is not a known unit, expected " + such_as(kind) +
               suggestion(parts, kind));
}

ParsedQuantity finished(double value, const std::string& shown, Quantity kind) {
  if (!std::isfinite(value))
    return wrong(shown + " is too large or too small a number, expected " + such_as(kind));
  if (kind == Quantity::temperature && value < 0)
    return wrong(shown + " is below absolute zero, -273.15 degC");
  return {value + 0.0, ""};
}

// Moves the decimal point in the text, so that 9.8 L gives the double nearest to 0.0098.
double with_point_moved(const Split& parts, int places) {
  if (parts.number == 0) return 0;  // for any exponent: a large one would overflow
  const std::string& number = parts.number_text;
  const std::size_t mark = number.find_first_of("eE");
  long exponent = 0;
  if (mark != std::string::npos) {
    const std::size_t first = mark + (number[mark + 1] == '+' ? 2 : 1);
    std::from_chars(number.data() + first, number.data() + number.size(), exponent);
  }
  const std::string moved = number.substr(0, mark) + "e" + std::to_string(exponent + places);
  double value = 0;
  const auto [end, status] = std::from_chars(moved.data(), moved.data() + moved.size(), value);
  return status == std::errc{} ? value : std::numeric_limits<double>::infinity();
}

double scaled(const Split& parts, double slope) {
  const double places = std::round(std::log10(slope));
  const bool power_of_ten = std::abs(slope / std::pow(10.0, places) - 1) < 1e-14;
  return power_of_ten ? with_point_moved(parts, static_cast<int>(places)) : parts.number * slope;
}

ParsedQuantity parse_level(const Split& parts, const std::string& shown, Quantity kind) {
  std::string unit = parts.unit;
  if (kind == Quantity::sound_level && (unit == "dB SPL" || unit == "dBSPL")) unit = "dB";
  if (unit == "dB") return finished(parts.number, shown, kind);
  return unknown_unit(parts, shown, kind);
}

ParsedQuantity parse_fraction(const Split& parts, const std::string& shown, Quantity kind) {
  if (parts.unit.empty()) return finished(parts.number, shown, kind);
  if (parts.unit == "%" || parts.unit == "percent") return finished(with_point_moved(parts, -2), shown, kind);
  return unknown_unit(parts, shown, kind);
}

}  // namespace

ParsedQuantity parse_quantity(std::string_view text, Quantity kind) {
  const std::string shown = quoted(text);
  const Split parts = split(plain(text), shown, kind);
  if (!parts.error.empty()) return wrong(parts.error);
  if (kind == Quantity::fraction) return parse_fraction(parts, shown, kind);
  if (parts.unit.empty()) return wrong(shown + " has no unit: write " + such_as(kind));
  if (kind == Quantity::level || kind == Quantity::sound_level) return parse_level(parts, shown, kind);

  const std::string unit = meant_unit(parts.unit, kind);
  if (!is_clean_unit(unit)) return unknown_unit(parts, shown, kind);
  if (lower(unit) == "db") return wrong(shown + " is a level, expected " + such_as(kind));
  const std::optional<UnitMeaning> meaning = unit_meaning(unit);
  if (!meaning) return unknown_unit(parts, shown, kind);
  if (meaning->dimension != unit_meaning(std::string(si_unit(kind)))->dimension) {
    const std::string noun(dimension_noun(meaning->dimension));
    return wrong(shown + (noun.empty() ? " is not " : " is " + noun + ", expected ") + such_as(kind) +
                 suggestion(parts, kind));
  }
  return finished(
      meaning->offset == 0 ? scaled(parts, meaning->slope) : parts.number * meaning->slope + meaning->offset,
      shown, kind);
}

std::string_view quantity_noun(Quantity kind) { return quantity_words(kind).noun; }
std::string_view si_unit(Quantity kind) { return quantity_words(kind).si; }
std::string_view unit_examples(Quantity kind) { return quantity_words(kind).examples; }

std::string format_quantity(double value, Quantity kind) {
  char text[32];
  const auto [end, status] = std::to_chars(text, text + sizeof text, value);
  std::string line(text, end);
  if (!si_unit(kind).empty()) line += " " + std::string(si_unit(kind));
  return line;
}

}  // namespace cabinfield
