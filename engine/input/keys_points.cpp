// Positions and directions: lists of bare numbers, positions in the file's length unit.
#include <array>
#include <cmath>

#include "base/quantity.h"
#include "base/quoted.h"
#include "input/json_schema.h"
#include "input/keys_containers.h"
#include "input/keys_values.h"

namespace cabinfield {
namespace {

constexpr double farthest_coordinate_m = 100;
constexpr double least_extent_m = 1e-3;

/// A list of so many bare numbers.
JsonSchema numbers_schema(int count) { return array_schema(type_schema("number"), count, count); }

std::optional<double> read_coordinate(const Node& node, Reading& reading) {
  const std::optional<double> value = read_number(node, reading, "a bare number in the file's length unit");
  if (!value) return std::nullopt;
  if (!reading.length_unit_m) return value;
  const double metres = *value * *reading.length_unit_m;
  if (std::abs(metres) <= farthest_coordinate_m) return metres;
  reading.fault_beyond_schema(node.location(),
                              readable_quantity(metres, Quantity::length) +
                                  " is further than 100 m from the origin: is the file's length unit right?",
                              FaultCode::out_of_range);
  return std::nullopt;
}

template <std::size_t Count, typename ReadOne>
std::optional<std::array<double, Count>> read_numbers(const Node& node, Reading& reading,
                                                      const std::string& words, ReadOne read_one) {
  if (node.kind() != NodeKind::sequence) {
    reading.wrong_kind(node, words);
    return std::nullopt;
  }
  if (node.items().size() != Count) {
    reading.fault(node.location(),
                  "has " + std::to_string(node.items().size()) + " numbers, expected " + words,
                  FaultCode::wrong_count);
    return std::nullopt;
  }
  std::array<double, Count> values{};
  bool complete = true;
  for (std::size_t i = 0; i < Count; ++i) {
    ReadingScope scope(reading);
    scope.enter_item(i + 1);
    const std::optional<double> value = read_one(node.items()[i], reading);
    complete = complete && value;
    if (value) values[i] = *value;
  }
  if (!complete) return std::nullopt;
  return values;
}

template <typename Values>
void write_coordinates(const Values& values, Writing& writing) {
  writing.begin_list(true);
  for (double value : values) writing.coordinate(value);
  writing.end_list();
}

std::optional<Vector3> to_vector3(const std::optional<std::array<double, 3>>& values) {
  if (!values) return std::nullopt;
  return Vector3((*values)[0], (*values)[1], (*values)[2]);
}

}  // namespace

ValueKind<Vector3> point(GeometryRole role) {
  const std::string words = "three bare numbers [x, y, z] in the file's length unit";
  const ValueKind<Vector3> kind{
      [words](const Node& node, Reading& reading) {
        return to_vector3(read_numbers<3>(node, reading, words, read_coordinate));
      },
      [](const Vector3& value, Writing& writing) { write_coordinates(value, writing); },
      words,
      {NodeKind::sequence},
      numbers_schema(3)};
  return with_role(kind, role);
}

ValueKind<Vector2> point2(GeometryRole role) {
  const std::string words = "two bare numbers in the file's length unit";
  const ValueKind<Vector2> kind{
      [words](const Node& node, Reading& reading) -> std::optional<Vector2> {
        const auto values = read_numbers<2>(node, reading, words, read_coordinate);
        if (!values) return std::nullopt;
        return Vector2((*values)[0], (*values)[1]);
      },
      [](const Vector2& value, Writing& writing) { write_coordinates(value, writing); },
      words,
      {NodeKind::sequence},
      numbers_schema(2)};
  return with_role(kind, role);
}

ValueKind<double> coordinate(GeometryRole role) {
  const ValueKind<double> kind{
      [](const Node& node, Reading& reading) { return read_coordinate(node, reading); },
      [](const double& value, Writing& writing) { writing.coordinate(value); },
      "a bare number in the file's length unit",
      {NodeKind::scalar},
      type_schema("number")};
  return with_role(kind, role);
}

ValueKind<std::array<double, 2>> coordinate_range(GeometryRole role) {
  const std::string words = "two bare numbers [from, to] in the file's length unit";
  const ValueKind<std::array<double, 2>> kind{
      [words](const Node& node, Reading& reading) -> std::optional<std::array<double, 2>> {
        const auto values = read_numbers<2>(node, reading, words, read_coordinate);
        if (!values || (*values)[0] <= (*values)[1]) return values;
        reading.fault_beyond_schema(node.location(), "runs from " + shortened(node.items()[0].text()) +
                                                         " down to " + shortened(node.items()[1].text()) +
                                                         ": give the smaller number first");
        return std::nullopt;
      },
      [](const std::array<double, 2>& value, Writing& writing) { write_coordinates(value, writing); },
      words,
      {NodeKind::sequence},
      numbers_schema(2)};
  return with_role(kind, role);
}

ValueKind<Vector3> extent(GeometryRole role) {
  const std::string words = "three bare numbers [length, width, height] in the file's length unit";
  const ValueKind<Vector3> kind{
      [words](const Node& node, Reading& reading) -> std::optional<Vector3> {
        const auto value = to_vector3(read_numbers<3>(node, reading, words, read_coordinate));
        if (!value || value->minCoeff() >= least_extent_m) return value;
        reading.fault_beyond_schema(node.location(),
                                    "has a side of " +
                                        readable_quantity(value->minCoeff(), Quantity::length) +
                                        ": each must be at least 1 mm",
                                    FaultCode::out_of_range);
        return std::nullopt;
      },
      [](const Vector3& value, Writing& writing) { write_coordinates(value, writing); },
      words,
      {NodeKind::sequence},
      numbers_schema(3)};
  return with_role(kind, role);
}

ValueKind<Vector3> direction() {
  const std::string words = "three bare numbers [x, y, z], not all zero";
  const ValueKind<Vector3> kind{[words](const Node& node, Reading& reading) -> std::optional<Vector3> {
                                  auto read_one = [&](const Node& item, Reading& inner) {
                                    return read_number(item, inner, "a bare number");
                                  };
                                  const auto value =
                                      to_vector3(read_numbers<3>(node, reading, words, read_one));
                                  if (!value || value->stableNorm() > 0) return value;
                                  reading.fault(node.location(), "is [0, 0, 0], which has no direction");
                                  return std::nullopt;
                                },
                                [](const Vector3& value, Writing& writing) {
                                  writing.begin_list(true);
                                  for (double part : value) writing.number(part);
                                  writing.end_list();
                                },
                                words,
                                {NodeKind::sequence},
                                except_numbers(numbers_schema(3), {0, 0, 0})};
  return with_role(kind, GeometryRole::direction);
}

}  // namespace cabinfield
