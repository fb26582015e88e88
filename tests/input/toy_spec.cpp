#include "input/toy_spec.h"

#include <cmath>

namespace cabinfield {
namespace {

const Keys<ToyPartSpec>& toy_part_keys() {
  static const auto keys = Keys<ToyPartSpec>()
                               .add("name", &ToyPartSpec::name, name(), "")
                               .add("gain", &ToyPartSpec::gain_db, quantity(Quantity::level, {-40, 20}), "");
  return keys;
}

}  // namespace

const Keys<ToyLegSpec>& toy_leg_keys() {
  static const auto keys =
      Keys<ToyLegSpec>()
          .add("length", &ToyLegSpec::length_m, quantity(Quantity::length, {0, 0.3}), "floor to top")
          .required()
          .add("foot", &ToyLegSpec::foot, name(), "");
  return keys;
}

const Keys<ToyPlacesSpec>& toy_places_keys() {
  using Spec = ToyPlacesSpec;
  using Role = GeometryRole;
  static const auto room_keys = Keys<ToyRoomSpec>()
                                    .add("at", &ToyRoomSpec::at, point(), "")
                                    .add("size", &ToyRoomSpec::size_m, extent(Role::extent), "");
  static const auto keys = Keys<Spec>()
                               .add("x", &Spec::x_m, coordinate(Role::x), "")
                               .add("y", &Spec::y_m, coordinate(Role::y), "")
                               .add("z", &Spec::z_m, coordinate(Role::z), "")
                               .add("half_width", &Spec::half_width_m, coordinate(Role::half_width), "")
                               .add("across", &Spec::across_m, coordinate_range(Role::y), "")
                               .add("point", &Spec::point, point(), "")
                               .add("mounting", &Spec::mounting, point(Role::mounting_point), "")
                               .add("remote", &Spec::remote, point(Role::remote_point), "")
                               .add("side_view", &Spec::side_view, point2(Role::side_view_point), "")
                               .add("plan", &Spec::plan, point2(Role::plan_point), "")
                               .add("direction", &Spec::direction, direction(), "")
                               .add("room", &Spec::room, mapping(room_keys, "room"), "")
                               .add("size", &Spec::size_m, extent(Role::size), "")
                               .add("thickness", &Spec::thickness_m, own_length(), "")
                               .add("side", &Spec::side, sided(name()), "");
  return keys;
}

const Keys<ToySpec>& toy_keys() {
  using Spec = ToySpec;
  static const auto keys =
      Keys<Spec>()
          .add("title", &Spec::title, text(), "heads the output")
          .add("height", &Spec::height_m, quantity(Quantity::length, {0.1}), "")
          .add("weight", &Spec::weight_kg, quantity(Quantity::mass), "")
          .add("share", &Spec::share, quantity(Quantity::fraction, {0, 1}), "")
          .add("factor", &Spec::factor, number({0.5, 2}), "")
          .add("count", &Spec::count, integer(1, 8), "")
          .add("folded", &Spec::folded, yes_or_no(), "")
          .add("colour", &Spec::colour,
               choice<ToyColour>({{"red", ToyColour::red}, {"green", ToyColour::green}}), "")
          .add("surface", &Spec::surface, located(surface_name()), "")
          .add("at", &Spec::at, point(), "")
          .add("corner", &Spec::corner, point2(GeometryRole::plan_point), "")
          .add("x", &Spec::x_m, coordinate(GeometryRole::x), "")
          .add("span", &Spec::span_m, coordinate_range(GeometryRole::y), "")
          .add("aim", &Spec::aim, direction(), "")
          .add("tags", &Spec::tags, list_of(text(), 1, 3), "")
          .add("outline", &Spec::outline, list_of(point2(GeometryRole::side_view_point)), "")
          .add("parts", &Spec::parts, list_of(mapping(toy_part_keys(), "part")), "")
          .add("legs", &Spec::legs, named(mapping(toy_leg_keys(), "leg")), "")
          .add("delays", &Spec::delays_s, named(quantity(Quantity::time, {0, 1})), "")
          .add("absorption", &Spec::absorption, table_over(Quantity::frequency, {20, 20000}, number({0, 1})),
               "")
          .add("model", &Spec::model, either(name(), mapping(toy_leg_keys())), "")
          .add("impedance", &Spec::impedance, either(number(), list_of(number(), 2, 2)), "")
          .add("factor_in_db", &Spec::decibels_as_factor,
               converted<double>(
                   quantity(Quantity::level), [](double db) { return std::pow(10.0, db / 20); },
                   [](const double& factor) { return 20 * std::log10(factor); }),
               "")
          .not_yet("wheels", "comes later");
  return keys;
}

}  // namespace cabinfield
