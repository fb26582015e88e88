// Kinds of values that stand alone: quantities, numbers, text, names, points.
#pragma once

#include <array>
#include <functional>
#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "base/quantity.h"
#include "base/vector.h"
#include "input/document.h"
#include "input/key_tree.h"
#include "input/keys_reading.h"
#include "input/writing.h"

namespace cabinfield {

/// Inclusive limits, SI.
struct Range {
  double least = -std::numeric_limits<double>::infinity();
  double greatest = std::numeric_limits<double>::infinity();
};

/// How a value of type T is read, written and described.
template <typename T>
struct ValueKind {
  std::function<std::optional<T>(const Node&, Reading&)> read;  ///< empty after adding at least one fault
  std::function<void(const T&, Writing&)> write;
  std::string words;                                 ///< e.g. "a length such as 25 mm, from 0 mm to 300 mm"
  std::vector<NodeKind> forms = {NodeKind::scalar};  ///< the kinds of node that `read` can take
  /// The same as JSON Schema: what it rejects `read` rejects too. Faults that it cannot see are those of
  /// Reading::fault_beyond_schema.
  std::string schema = "{}";
  KeyTreePointer inside = nullptr;  ///< of what a path can enter
};

/// Patterns (ECMA 262) of what is written, for schemas: a number with some unit, a name.
inline constexpr const char* quantity_pattern =
    "^\\s*(?:[-+]|\u2212)?(?:[0-9]+\\.?[0-9]*|\\.[0-9]+)\\s*[^\\s0-9.].*$";
inline constexpr const char* name_pattern = "^[A-Za-z0-9_-]{1,64}$";

ValueKind<double> quantity(Quantity kind, Range range = {});
ValueKind<double> number(Range range = {});
ValueKind<int> integer(int least, int greatest);
ValueKind<bool> yes_or_no();
/// Whatever stands there, as it stands; `description` says what is meant.
ValueKind<Node> anything(std::string description);
/// Text without control characters; lines may end and tabs stand in it.
ValueKind<std::string> text();

/// A name of our own making: letters, digits, '_' and '-', not empty, at most 64 of them.
ValueKind<std::string> name();
/// The name of a surface: as a name, or BLOCK.FACE.
ValueKind<std::string> surface_name();
/// Names joined by dots, e.g. "seats.driver"; at most `most_parts` of them.
ValueKind<std::string> dotted_name(int most_parts);

/// [x, y, z] as bare numbers in the file's length unit, to metres. Numbers beyond 100 m are a fault.
ValueKind<Vector3> point();
/// Two bare numbers in the file's length unit, to metres.
ValueKind<Vector2> point2();
/// One bare coordinate in the file's length unit, to metres.
ValueKind<double> coordinate();
/// [from, to] in the file's length unit, from <= to; metres.
ValueKind<std::array<double, 2>> coordinate_range();
/// [length, width, height] as bare numbers in the file's length unit, each at least 1 mm; metres.
ValueKind<Vector3> extent();
/// [x, y, z] as bare numbers without a unit, not all zero.
ValueKind<Vector3> direction();

/// The text of a bare number that is finite, else empty.
std::optional<double> parse_number(std::string_view text);
/// Reads a bare number that stands without quotes; empty after a fault that expects `words`.
std::optional<double> read_number(const Node& node, Reading& reading, const std::string& words);
/// Empty where the text is a name, else what is wrong with it: "'mid left' is not a name: …".
std::string name_error(std::string_view text);

}  // namespace cabinfield
