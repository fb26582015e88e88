// An invented spec with a key of every kind, for the tests of declared keys.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "input/keys.h"

namespace cabinfield {

enum class ToyColour { red, green };

struct ToyLegSpec : Given {
  std::optional<double> length_m;
  std::optional<std::string> foot;
};

struct ToyPartSpec : Given {
  std::string name;
  double gain_db = 0;
};

struct ToyRoomSpec : Given {
  std::optional<Vector3> at, size_m;
};

/// A value of each geometry role.
struct ToyPlacesSpec : Given {
  std::optional<double> x_m, y_m, z_m, half_width_m, thickness_m;
  std::optional<std::array<double, 2>> across_m;
  std::optional<Vector3> point, mounting, remote, direction, size_m;
  std::optional<Vector2> side_view, plan;
  std::optional<ToyRoomSpec> room;
  std::string side;
};

struct ToyBase : Given {
  std::optional<std::string> title;
};

struct ToySpec : ToyBase {
  std::optional<double> height_m;
  double weight_kg = 1.5;
  std::optional<double> share;
  std::optional<double> factor;
  int count = 4;
  bool folded = false;
  ToyColour colour = ToyColour::red;
  std::optional<Located<std::string>> surface;
  std::optional<Vector3> at;
  std::optional<Vector2> corner;
  std::optional<double> x_m;
  std::optional<std::array<double, 2>> span_m;
  std::optional<Vector3> aim;
  std::vector<std::string> tags;
  std::vector<Vector2> outline;
  std::vector<ToyPartSpec> parts;
  std::vector<Named<ToyLegSpec>> legs;
  std::vector<Named<double>> delays_s;
  std::vector<std::pair<double, double>> absorption;
  std::optional<std::variant<std::string, ToyLegSpec>> model;
  std::optional<std::variant<double, std::vector<double>>> impedance;
  std::optional<double> decibels_as_factor;
};

template <>
inline constexpr bool filled_from_another<ToySpec> = true;

const Keys<ToyLegSpec>& toy_leg_keys();
const Keys<ToyPlacesSpec>& toy_places_keys();
const Keys<ToySpec>& toy_keys();

}  // namespace cabinfield
