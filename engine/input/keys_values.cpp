#include "input/keys_values.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstdlib>
#include <stdexcept>
#include <utility>

#include "base/nearest_name.h"
#include "base/quoted.h"
#include "input/keys_containers.h"

namespace cabinfield {
namespace {

constexpr std::size_t longest_name = 64;

// Conversions of units round: a limit is kept to within a few units in the last place.
constexpr double rounding = 1e-14;

std::string plain_number(double value) {
  char text[32];
  return std::string(text, std::to_chars(text, text + sizeof text, value).ptr);
}

// "is outside 0 mm to 300 mm", or empty; `show` words one limit, `show_both` the two.
template <typename Show, typename ShowBoth>
std::string outside(double value, const Range& range, Show show, ShowBoth show_both) {
  const bool low = value < range.least - rounding * std::abs(range.least);
  const bool high = value > range.greatest + rounding * std::abs(range.greatest);
  if (!low && !high) return "";
  if (std::isfinite(range.least) && std::isfinite(range.greatest))
    return " is outside " + show_both(range.least, range.greatest);
  return low ? " is below the least allowed, " + show(range.least)
             : " is above the greatest allowed, " + show(range.greatest);
}

template <typename Show, typename ShowBoth>
std::string range_words(const Range& range, Show show, ShowBoth show_both) {
  if (std::isfinite(range.least) && std::isfinite(range.greatest))
    return ", from " + show_both(range.least, range.greatest);
  if (std::isfinite(range.least)) return ", at least " + show(range.least);
  return std::isfinite(range.greatest) ? ", at most " + show(range.greatest) : "";
}

std::string show_numbers(double least, double greatest) {
  return plain_number(least) + " to " + plain_number(greatest);
}

bool is_scalar(const Node& node, Reading& reading, const std::string& words) {
  if (node.kind() == NodeKind::scalar) return true;
  reading.wrong_kind(node, words);
  return false;
}

bool is_name_character(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '-';
}

// What is wrong with names joined by dots, or empty.
std::string dotted_error(std::string_view text, int most_parts) {
  int parts = 0;
  for (std::string_view rest = text;;) {
    const std::size_t dot = rest.find('.');
    const std::string wrong = name_error(rest.substr(0, dot));
    if (!wrong.empty() || ++parts > most_parts)
      return quoted(text) + " is not a name, or up to " + std::to_string(most_parts) +
             " names joined by dots: names are letters, digits, '_' and '-'";
    if (dot == std::string_view::npos) return "";
    rest.remove_prefix(dot + 1);
  }
}

bool has_stray_control(std::string_view text) {
  for (std::size_t i = 0; i < text.size(); ++i)
    if (text[i] != '\n' && text[i] != '\t' && control_character_bytes(text, i) > 0) return true;
  return false;
}

template <typename Error>
ValueKind<std::string> checked_text(std::string words, JsonSchema schema, Error error) {
  return {[words, error](const Node& node, Reading& reading) -> std::optional<std::string> {
            if (!is_scalar(node, reading, words)) return std::nullopt;
            const std::string wrong = error(node.text());
            if (wrong.empty()) return node.text();
            reading.fault(node.location(), wrong);
            return std::nullopt;
          },
          [](const std::string& value, Writing& writing) { writing.text(value); },
          words,
          {NodeKind::scalar},
          std::move(schema)};
}

/// What quantity_pattern says, in one pass: a number, then anything that begins with neither space, digit nor
/// point. (The regular expressions of the standard library run out of stack on long texts.)
bool fits_quantity_pattern(std::string_view text) {
  const auto skip = [&](const char* wanted) {
    const std::size_t end = std::min(text.find_first_not_of(wanted), text.size());
    text.remove_prefix(end);
    return end > 0;
  };
  constexpr const char *spaces = " \t\n\r\f\v", *digits = "0123456789";
  skip(spaces);
  constexpr std::string_view minus = "\u2212";
  if (text.starts_with(minus))
    text.remove_prefix(minus.size());
  else if (text.starts_with('-') || text.starts_with('+'))
    text.remove_prefix(1);
  const bool whole = skip(digits);
  if (text.starts_with('.')) text.remove_prefix(1);
  if (!skip(digits) && !whole) return false;
  skip(spaces);
  return !text.empty() && text.front() != '.' && text.find_first_of("\n\r") == std::string_view::npos;
}

KeyTreePointer role_tree(KeyTree::Form form, GeometryRole role) {
  KeyTree tree;
  tree.form = form;
  tree.role = role;
  return std::make_shared<const KeyTree>(std::move(tree));
}

void show(GeometryRole role, double& value, GeometryVisitor& visitor) { visitor.numbers(role, &value, 1); }
void show(GeometryRole role, std::array<double, 2>& range, GeometryVisitor& visitor) {
  visitor.numbers(role, range.data(), range.size());
}
template <int Count>
void show(GeometryRole role, Eigen::Matrix<double, Count, 1>& point, GeometryVisitor& visitor) {
  visitor.numbers(role, point.data(), Count);
}
void show(GeometryRole, std::string& name, GeometryVisitor& visitor) { visitor.name(name); }

/// Reads and writes as another access does, and shows the value as one of that role.
template <typename T>
class RoleAccess final : public ValueAccess {
 public:
  RoleAccess(std::shared_ptr<const ValueAccess> inner, GeometryRole role)
      : inner_(std::move(inner)), role_(role) {}
  bool read(void* value, const Node& node, Reading& reading) const override {
    return inner_->read(value, node, reading);
  }
  void write(const void* value, Writing& writing) const override { inner_->write(value, writing); }
  void visit_geometry(void* value, GeometryVisitor& visitor) const override {
    show(role_, *static_cast<T*>(value), visitor);
  }

 private:
  std::shared_ptr<const ValueAccess> inner_;
  GeometryRole role_;
};

template <typename T>
ValueKind<T> of_role(ValueKind<T> kind, GeometryRole role) {
  if (role == GeometryRole::none || role == GeometryRole::undeclared)
    throw std::logic_error("a position or length is declared without a role");
  const bool scalar = kind.forms == std::vector<NodeKind>{NodeKind::scalar};
  kind.access = std::make_shared<const RoleAccess<T>>(kind.access, role);
  kind.inside = role_tree(scalar ? KeyTree::Form::value : KeyTree::Form::list, role);
  return kind;
}

}  // namespace

UntypedKind::UntypedKind(std::shared_ptr<const ValueAccess> value_access, std::string value_words,
                         std::vector<NodeKind> node_kinds, JsonSchema value_schema, KeyTreePointer tree)
    : access(std::move(value_access)),
      words(std::move(value_words)),
      forms(std::move(node_kinds)),
      schema(std::move(value_schema)),
      inside(std::move(tree)) {}
UntypedKind::UntypedKind(const UntypedKind&) = default;
UntypedKind::UntypedKind(UntypedKind&&) noexcept = default;
UntypedKind& UntypedKind::operator=(const UntypedKind&) = default;
UntypedKind& UntypedKind::operator=(UntypedKind&&) noexcept = default;
UntypedKind::~UntypedKind() = default;

std::optional<double> read_number(const Node& node, Reading& reading, const std::string& words) {
  if (!is_scalar(node, reading, words)) return std::nullopt;
  std::optional<double> value = node.quoted() ? std::nullopt : parse_number(node.text());
  if (!value) reading.fault(node.location(), quoted(node.text()) + " is not a number, expected " + words);
  return value;
}

std::optional<double> parse_number(std::string_view text) {
  if (text.starts_with('+')) text.remove_prefix(1);
  double value = 0;
  const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (status != std::errc{} || end != text.data() + text.size() || !std::isfinite(value)) return std::nullopt;
  return value;
}

std::string name_error(std::string_view text) {
  bool sound = !text.empty() && text.size() <= longest_name;
  for (char c : text) sound = sound && is_name_character(c);
  if (sound) return "";
  return quoted(text) + " is not a name: use up to " + std::to_string(longest_name) +
         " letters, digits, '_' and '-'";
}

ValueKind<double> quantity(Quantity kind, Range range) {
  auto show = [kind](double limit) { return readable_quantity(limit, kind); };
  auto show_both = [kind](double least, double greatest) { return readable_range(least, greatest, kind); };
  const std::string words = std::string(quantity_noun(kind)) + " such as " +
                            std::string(unit_examples(kind)) + range_words(range, show, show_both);
  return {
      [=](const Node& node, Reading& reading) -> std::optional<double> {
        if (!is_scalar(node, reading, words)) return std::nullopt;
        ParsedQuantity parsed = parse_quantity(node.text(), kind);
        if (parsed.value) {
          const std::string wrong = outside(*parsed.value, range, show, show_both);
          if (wrong.empty()) return parsed.value;
          parsed.error = shortened(node.text()) + wrong;
        }
        const FaultCode code = parsed.value ? FaultCode::out_of_range : FaultCode::unit;
        const bool bare_fraction = kind == Quantity::fraction && !node.quoted() && parse_number(node.text());
        if (!bare_fraction && (kind == Quantity::fraction || fits_quantity_pattern(node.text())))
          reading.fault_beyond_schema(node.location(), parsed.error, code);
        else
          reading.fault(node.location(), parsed.error, code);
        return std::nullopt;
      },
      [kind](const double& value, Writing& writing) { writing.text(format_quantity(value, kind)); },
      words,
      {NodeKind::scalar},
      kind == Quantity::fraction ? any_of({number_schema(range.least, range.greatest), type_schema("string")})
                                 : pattern_schema(quantity_pattern),
      kind == Quantity::length ? role_tree(KeyTree::Form::value, GeometryRole::undeclared) : nullptr};
}

void ValueAccess::visit_geometry(void*, GeometryVisitor&) const {}

ValueKind<double> with_role(const ValueKind<double>& kind, GeometryRole role) { return of_role(kind, role); }
ValueKind<std::array<double, 2>> with_role(const ValueKind<std::array<double, 2>>& kind, GeometryRole role) {
  return of_role(kind, role);
}
ValueKind<Vector2> with_role(const ValueKind<Vector2>& kind, GeometryRole role) {
  return of_role(kind, role);
}
ValueKind<Vector3> with_role(const ValueKind<Vector3>& kind, GeometryRole role) {
  return of_role(kind, role);
}
ValueKind<std::string> sided(const ValueKind<std::string>& kind) {
  return of_role(kind, GeometryRole::sided_name);
}

ValueKind<double> own_length(Range range) {
  return with_role(quantity(Quantity::length, range), GeometryRole::size);
}

ValueKind<double> number(Range range) {
  const std::string words = "a number" + range_words(range, plain_number, show_numbers);
  return {[=](const Node& node, Reading& reading) -> std::optional<double> {
            const std::optional<double> value = read_number(node, reading, words);
            if (!value) return std::nullopt;
            const std::string wrong = outside(*value, range, plain_number, show_numbers);
            if (wrong.empty()) return value;
            reading.fault(node.location(), shortened(node.text()) + wrong, FaultCode::out_of_range);
            return std::nullopt;
          },
          [](const double& value, Writing& writing) { writing.number(value); },
          words,
          {NodeKind::scalar},
          number_schema(range.least, range.greatest)};
}

ValueKind<int> integer(int least, int greatest) {
  const std::string words =
      "a whole number from " + std::to_string(least) + " to " + std::to_string(greatest);
  return {[=](const Node& node, Reading& reading) -> std::optional<int> {
            const std::optional<double> value = read_number(node, reading, words);
            if (!value) return std::nullopt;
            if (*value == std::floor(*value) && *value >= least && *value <= greatest)
              return static_cast<int>(*value);
            reading.fault(node.location(), shortened(node.text()) + " is not " + words,
                          FaultCode::out_of_range);
            return std::nullopt;
          },
          [](const int& value, Writing& writing) { writing.integer(value); },
          words,
          {NodeKind::scalar},
          number_schema(least, greatest, true)};
}

ValueKind<bool> yes_or_no() {
  const auto words = choice<bool>({{"yes", true}, {"no", false}, {"true", true}, {"false", false}});
  return {[words](const Node& node, Reading& reading) { return words.read(node, reading); },
          [](const bool& value, Writing& writing) { writing.yes_or_no(value); },
          "yes or no",
          {NodeKind::scalar},
          any_of({type_schema("boolean"), enum_schema({"yes", "no", "true", "false"})})};
}

ValueKind<Node> anything(std::string description) {
  return {[](const Node& node, Reading&) { return std::optional(node); },
          [](const Node& value, Writing& writing) { write_node(value, writing); },
          std::move(description),
          {NodeKind::scalar, NodeKind::sequence, NodeKind::mapping}};
}

ValueKind<std::string> text() {
  // A title such as 42 or true is text here and something else to JSON.
  return checked_text("text", scalar_schema("^[^\\u0000-\\u0008\\u000b-\\u001f\\u007f-\\u009f]*$"),
                      [](const std::string& value) {
                        return has_stray_control(value)
                                   ? "is " + cabinfield::quoted(value) +
                                         ", which contains a control character: remove it"
                                   : std::string();
                      });
}

ValueKind<std::string> name() {
  return checked_text("a name", scalar_schema(name_pattern),
                      [](const std::string& value) { return name_error(value); });
}

ValueKind<std::string> surface_name() {
  return checked_text("the name of a surface, or of a block's face as BLOCK.FACE",
                      scalar_schema("^[A-Za-z0-9_-]{1,64}([.][A-Za-z0-9_-]{1,64})?$"),
                      [](const std::string& value) { return dotted_error(value, 2); });
}

ValueKind<std::string> dotted_name(int most_parts) {
  return checked_text("a name such as seats.driver",
                      scalar_schema("^[A-Za-z0-9_-]{1,64}([.][A-Za-z0-9_-]{1,64}){0," +
                                    std::to_string(most_parts - 1) + "}$"),
                      [most_parts](const std::string& value) { return dotted_error(value, most_parts); });
}

namespace keys_detail {

KeyTreePointer either_tree(const KeyTreePointer& first, const KeyTreePointer& second) {
  if (!first || !second) return second ? second : first;
  KeyTree tree = *second;
  tree.other = first;
  return std::make_shared<const KeyTree>(std::move(tree));
}

}  // namespace keys_detail
}  // namespace cabinfield
