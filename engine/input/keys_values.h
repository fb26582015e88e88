// Kinds of values that stand alone: quantities, numbers, text, names, points.
#pragma once

#include <array>
#include <cstddef>
#include <limits>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/quantity.h"
#include "base/vector.h"
#include "input/document.h"
#include "input/json_schema.h"
#include "input/key_tree.h"
#include "input/keys_reading.h"
#include "input/writing.h"

namespace cabinfield {

/// Inclusive limits, SI.
struct Range {
  double least = -std::numeric_limits<double>::infinity();
  double greatest = std::numeric_limits<double>::infinity();
};

/// Sees, and may change, the numbers and names of a value that have a role.
class GeometryVisitor {
 public:
  GeometryVisitor() = default;
  GeometryVisitor(const GeometryVisitor&) = delete;
  GeometryVisitor& operator=(const GeometryVisitor&) = delete;
  virtual ~GeometryVisitor() = default;
  /// `count` numbers of one value, in SI units: [x, y, z], [from, to], …
  virtual void numbers(GeometryRole role, double* first, std::size_t count) = 0;
  /// A name that may hold the words left and right.
  virtual void name(std::string& name) = 0;
};

/// Reads and writes values of one type, which only the makers of kinds know: so that the reading of mappings,
/// lists and the like is compiled once, not once for each type.
class ValueAccess {
 public:
  ValueAccess() = default;
  ValueAccess(const ValueAccess&) = delete;
  ValueAccess& operator=(const ValueAccess&) = delete;
  virtual ~ValueAccess() = default;
  /// Into a value as its default constructor makes it. False after adding at least one fault; the value is
  /// then of no use.
  virtual bool read(void* value, const Node& node, Reading& reading) const = 0;
  virtual void write(const void* value, Writing& writing) const = 0;
  /// Shows the visitor all numbers and names in the value that have a role (key_tree.h).
  virtual void visit_geometry(void* value, GeometryVisitor& visitor) const;
};

/// How a value of some type is read, written and described.
struct UntypedKind {
  UntypedKind(std::shared_ptr<const ValueAccess> access, std::string words, std::vector<NodeKind> forms,
              JsonSchema schema, KeyTreePointer inside);
  UntypedKind(const UntypedKind&);
  UntypedKind(UntypedKind&&) noexcept;
  UntypedKind& operator=(const UntypedKind&);
  UntypedKind& operator=(UntypedKind&&) noexcept;
  ~UntypedKind();

  std::shared_ptr<const ValueAccess> access;
  std::string words;            ///< e.g. "a length such as 25 mm, from 0 mm to 300 mm"
  std::vector<NodeKind> forms;  ///< the kinds of node that `read` can take
  /// The same as JSON Schema: what it rejects `read` rejects too. Faults that it cannot see are those of
  /// Reading::fault_beyond_schema.
  JsonSchema schema;
  KeyTreePointer inside;  ///< of what a path can enter
};

/// The same of values of type T, which has a default constructor.
template <typename T>
struct ValueKind : UntypedKind {
  /// `reader` takes a node and a Reading and returns a std::optional<T>, empty after adding at least one
  /// fault; `writer` takes a value and a Writing.
  template <typename Read, typename Write>
  ValueKind(Read reader, Write writer, std::string words, std::vector<NodeKind> forms = {NodeKind::scalar},
            JsonSchema schema = {}, KeyTreePointer inside = nullptr);
  explicit ValueKind(UntypedKind kind) : UntypedKind(std::move(kind)) {}

  /// Empty after adding at least one fault.
  std::optional<T> read(const Node& node, Reading& reading) const {
    std::optional<T> value(std::in_place);
    if (!access->read(&*value, node, reading)) value.reset();
    return value;
  }
  void write(const T& value, Writing& writing) const { access->write(&value, writing); }

  /// The same kind, read by another function.
  template <typename Read>
  ValueKind read_by(Read reader) const;
};

/// Patterns (ECMA 262) of what is written, for schemas: a number with some unit, a name.
inline constexpr const char* quantity_pattern =
    "^\\s*(?:[-+]|\u2212)?(?:[0-9]+\\.?[0-9]*|\\.[0-9]+)\\s*[^\\s0-9.].*$";
inline constexpr const char* name_pattern = "^[A-Za-z0-9_-]{1,64}$";

ValueKind<double> quantity(Quantity kind, Range range = {});
/// A length of a thing that it keeps wherever it goes: a size, a thickness, a distance within it.
ValueKind<double> own_length(Range range = {});
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

/// The same kind with a role: what moves, mirrors and fits geometry goes by it.
ValueKind<double> with_role(const ValueKind<double>& kind, GeometryRole role);
ValueKind<std::array<double, 2>> with_role(const ValueKind<std::array<double, 2>>& kind, GeometryRole role);
ValueKind<Vector2> with_role(const ValueKind<Vector2>& kind, GeometryRole role);
ValueKind<Vector3> with_role(const ValueKind<Vector3>& kind, GeometryRole role);
/// The same kind of name, which may hold the words left and right.
ValueKind<std::string> sided(const ValueKind<std::string>& kind);

// Positions take the role of their numbers, by which they are moved, mirrored and fitted.

/// [x, y, z] as bare numbers in the file's length unit, to metres. Numbers beyond 100 m are a fault.
ValueKind<Vector3> point(GeometryRole role = GeometryRole::point);
/// Two bare numbers in the file's length unit, to metres.
ValueKind<Vector2> point2(GeometryRole role);
/// One bare coordinate in the file's length unit, to metres.
ValueKind<double> coordinate(GeometryRole role);
/// [from, to] in the file's length unit, from <= to; metres.
ValueKind<std::array<double, 2>> coordinate_range(GeometryRole role);
/// [length, width, height] as bare numbers in the file's length unit, each at least 1 mm; metres.
ValueKind<Vector3> extent(GeometryRole role);
/// [x, y, z] as bare numbers without a unit, not all zero.
ValueKind<Vector3> direction();

/// The text of a bare number that is finite, else empty.
std::optional<double> parse_number(std::string_view text);
/// Reads a bare number that stands without quotes; empty after a fault that expects `words`.
std::optional<double> read_number(const Node& node, Reading& reading, const std::string& words);
/// Empty where the text is a name, else what is wrong with it: "'mid left' is not a name: …".
std::string name_error(std::string_view text);

// --- Implementation --------------------------------------------------------------------------------------

namespace keys_detail {

template <typename T, typename Read, typename Write>
class FunctionAccess final : public ValueAccess {
 public:
  FunctionAccess(Read reader, Write writer) : read_(std::move(reader)), write_(std::move(writer)) {}
  bool read(void* value, const Node& node, Reading& reading) const override {
    std::optional<T> found = read_(node, reading);
    if (found) *static_cast<T*>(value) = std::move(*found);
    return found.has_value();
  }
  void write(const void* value, Writing& writing) const override {
    write_(*static_cast<const T*>(value), writing);
  }

 private:
  Read read_;
  Write write_;
};

}  // namespace keys_detail

template <typename T>
template <typename Read, typename Write>
ValueKind<T>::ValueKind(Read reader, Write writer, std::string value_words, std::vector<NodeKind> node_kinds,
                        JsonSchema value_schema, KeyTreePointer tree)
    : UntypedKind(std::make_shared<const keys_detail::FunctionAccess<T, Read, Write>>(std::move(reader),
                                                                                      std::move(writer)),
                  std::move(value_words), std::move(node_kinds), std::move(value_schema), std::move(tree)) {}

template <typename T>
template <typename Read>
ValueKind<T> ValueKind<T>::read_by(Read reader) const {
  return {std::move(reader),
          [access = this->access](const T& value, Writing& writing) { access->write(&value, writing); },
          words,
          forms,
          schema,
          inside};
}

}  // namespace cabinfield
