// Keys of model files: drivers, materials, fillings.
#include <cmath>

#include "base/quantity.h"
#include "input/scene_keys.h"

namespace cabinfield {
namespace {

ValueKind<std::string> model_word(const std::string& word) { return choice<std::string>({{word, word}}); }

/// A published response: its rows, and what they must be together.
ValueKind<std::vector<ResponsePoint>> published_table() {
  using Row = std::pair<double, double>;
  using Rows = std::vector<ResponsePoint>;
  const auto rows =
      list_of(pair_of(quantity(Quantity::frequency, {5, 100000}), quantity(Quantity::sound_level, {20, 140})),
              static_cast<int>(fewest_response_points), 1000);
  auto to_points = [](std::vector<Row> table) {
    Rows points;
    for (const auto& [frequency_hz, level_db] : table) points.push_back({frequency_hz, level_db});
    return points;
  };
  auto to_table = [](const Rows& points) {
    std::vector<Row> table;
    for (const ResponsePoint& point : points) table.emplace_back(point.frequency_hz, point.level_db);
    return table;
  };
  const ValueKind<Rows> plain = converted<Rows>(rows, to_points, to_table);
  return plain.read_by([plain](const Node& node, Reading& reading) -> std::optional<Rows> {
    std::optional<Rows> points = plain.read(node, reading);
    if (!points) return std::nullopt;
    bool rising = true;
    for (std::size_t i = 1; i < points->size(); ++i) {
      const double before = (*points)[i - 1].frequency_hz, here = (*points)[i].frequency_hz;
      if (here > before) continue;
      rising = false;
      ReadingScope scope(reading);
      scope.enter_item(i + 1);
      reading.fault_beyond_schema(node.items()[i].location(),
                                  "is at " + readable_quantity(here, Quantity::frequency) +
                                      ", not above the " + readable_quantity(before, Quantity::frequency) +
                                      " before it: frequencies must increase");
    }
    if (!rising) return std::nullopt;
    const double low = points->front().frequency_hz, high = points->back().frequency_hz;
    if (high >= low * std::pow(2, least_response_octaves)) return points;
    reading.fault_beyond_schema(node.location(),
                                "runs from " + readable_range(low, high, Quantity::frequency) +
                                    ": at least two octaves are needed; the first is used to fade in");
    return std::nullopt;
  });
}

}  // namespace

const Keys<PanelSpec>& panel_keys() {
  static const auto keys =
      Keys<PanelSpec>()
          .add("surface_density", &PanelSpec::surface_density_kg_m2,
               quantity(Quantity::surface_density, {0.05, 500}), "mass per area")
          .required()
          .add("resonance", &PanelSpec::resonance_hz, quantity(Quantity::frequency, {1, 5000}),
               "of the panel as mounted")
          .required()
          .add("loss_factor", &PanelSpec::loss_factor, number({0.001, 5}), "1/Q at resonance");
  return keys;
}

const Keys<ThieleSmallSpec>& thiele_small_keys() {
  using Spec = ThieleSmallSpec;
  static const auto keys =
      Keys<Spec>()
          .add("Fs", &Spec::Fs_hz, quantity(Quantity::frequency, {5, 20000}), "free-air resonance")
          .add("Qes", &Spec::Qes, number({0.01, 50}), "electrical Q at Fs")
          .add("Qms", &Spec::Qms, number({0.05, 200}), "mechanical Q at Fs")
          .add("Qts", &Spec::Qts, number({0.01, 50}), "total Q at Fs")
          .add("Vas", &Spec::Vas_m3, quantity(Quantity::volume, {1e-9, 10}),
               "air volume with the compliance of the suspension")
          .add("Re", &Spec::Re_ohm, quantity(Quantity::resistance, {0.1, 200}), "DC resistance")
          .add("Le", &Spec::Le_h, quantity(Quantity::inductance, {0, 0.1}), "voice coil inductance")
          .add("Sd", &Spec::Sd_m2, quantity(Quantity::area, {1e-5, 1}), "effective cone area")
          .add("Mms", &Spec::Mms_kg, quantity(Quantity::mass, {1e-5, 5}), "moving mass including air load")
          .add("Cms", &Spec::Cms_m_n, quantity(Quantity::compliance, {1e-7, 0.1}), "suspension compliance")
          .add("Rms", &Spec::Rms_kg_s, quantity(Quantity::mechanical_resistance, {1e-4, 100}),
               "suspension loss")
          .add("Bl", &Spec::Bl_tm, quantity(Quantity::force_factor, {0.1, 100}), "force factor")
          .add("Xmax", &Spec::Xmax_m, own_length({1e-5, 0.1}), "linear excursion, peak, one way");
  return keys;
}

const Keys<RatingSpec>& rating_keys() {
  static const auto keys =
      Keys<RatingSpec>()
          .add("power", &RatingSpec::power_w, quantity(Quantity::power, {0.5, 20000}), "thermal, continuous")
          .add("nominal_impedance", &RatingSpec::nominal_impedance_ohm,
               quantity(Quantity::resistance, {0.5, 64}), "")
          .add("lowest_highpass", &RatingSpec::lowest_highpass_hz, quantity(Quantity::frequency, {5, 20000}),
               "lowest high-pass corner frequency that the maker allows");
  return keys;
}

const Keys<MountingSpec>& mounting_keys() {
  using Spec = MountingSpec;
  static const auto keys =
      Keys<Spec>()
          .add("cutout", &Spec::cutout_m, own_length({0.005, 1}), "diameter of the hole")
          .add("depth", &Spec::depth_m, own_length({0.001, 1}), "behind the mounting surface")
          .add("flange", &Spec::flange_m, own_length({0.005, 1}), "outer diameter")
          .add("displacement", &Spec::displacement_m3, quantity(Quantity::volume, {0, 0.1}),
               "volume that it occupies in a box")
          .add("mass", &Spec::mass_kg, quantity(Quantity::mass, {0.001, 100}), "")
          .add("magnet_diameter", &Spec::magnet_diameter_m, own_length({0.002, 1}), "")
          .add("pole_vent", &Spec::pole_vent, yes_or_no(), "a hole in the magnet that needs clearance");
  return keys;
}

const Keys<MaterialSpec>& material_keys() {
  using Spec = MaterialSpec;
  static const auto keys =
      Keys<Spec>()
          .add("cabinfield_model", &Spec::model, model_word("material"), "kind of model")
          .add("name", &Spec::name, text(), "")
          .add("note", &Spec::note, text(), "source of the values")
          .add("specific_impedance", &Spec::specific_impedance,
               either(number({0.01, 1e6}), list_of(number({-1e6, 1e6}), 2, 2)),
               "surface impedance over that of air: real, or [real, imaginary]; the same at all frequencies")
          .add("absorption", &Spec::absorption, table_over(Quantity::frequency, {20, 20000}, number({0, 1})),
               "random-incidence coefficients by octave or third-octave band")
          .add("panel", &Spec::panel, mapping(panel_keys(), "panel"), "a flexible panel to the outside");
  return keys;
}

const Keys<DriverModelSpec>& driver_model_keys() {
  using Spec = DriverModelSpec;
  static const auto keys =
      Keys<Spec>()
          .add("cabinfield_model", &Spec::model, model_word("driver"), "kind of model")
          .add("name", &Spec::name, text(), "")
          .add("note", &Spec::note, text(), "source of the values")
          .add("thiele_small", &Spec::thiele_small, mapping(thiele_small_keys(), "thiele_small"),
               "any sufficient set of small-signal parameters")
          .required()
          .add("coils", &Spec::coils, integer(1, 4), "number of voice coils")
          .add("coils_measured", &Spec::coils_measured,
               choice<CoilConnection>(
                   {{"series", CoilConnection::series}, {"parallel", CoilConnection::parallel}}),
               "how the coils were connected when thiele_small was measured; series if absent")
          .add("response", &Spec::response, published_table(),
               "on axis at 1 m in half space with 2.83 V, as measured; above its lowest octave it replaces "
               "the response from thiele_small")
          .add("rating", &Spec::rating, mapping(rating_keys(), "rating"), "")
          .add("mounting", &Spec::mounting, mapping(mounting_keys(), "mounting"), "dimensions for mounting");
  return keys;
}

const Keys<FillingSpec>& filling_keys() {
  using Spec = FillingSpec;
  static const auto keys = Keys<Spec>()
                               .add("cabinfield_model", &Spec::model, model_word("filling"), "kind of model")
                               .add("name", &Spec::name, text(), "")
                               .add("note", &Spec::note, text(), "source of the values")
                               .add("flow_resistivity", &Spec::flow_resistivity_pa_s_m2,
                                    quantity(Quantity::flow_resistivity, {10, 1e7}), "")
                               .required()
                               .add("porosity", &Spec::porosity, number({0.1, 1}), "fraction of air")
                               .add("tortuosity", &Spec::tortuosity, number({1, 10}), "")
                               .add("viscous_length", &Spec::viscous_length_m, own_length({1e-6, 0.01}),
                                    "value for round pores if absent")
                               .add("thermal_length", &Spec::thermal_length_m, own_length({1e-6, 0.01}),
                                    "twice viscous_length if absent");
  return keys;
}

}  // namespace cabinfield
