#include "base/quantity_units.h"

#include <udunits2.h>

#include <array>
#include <map>
#include <memory>
#include <mutex>
#include <utility>

#include "base/constants.h"
#include "base/fault.h"

namespace cabinfield {
namespace {

using Texts = const std::string_view[];

constexpr double kelvin_at_zero_celsius = 273.15;  // SI brochure, 9th edition, 2.3.1
constexpr double radian_per_degree = pi / 180.0;
constexpr double coulomb_per_ampere_hour = 3600.0;

constexpr ShownUnit length_shown[] = {{"mm", 1e-3, 0}, {"m", 1, 1}};
constexpr ShownUnit area_shown[] = {{"cm2", 1e-4, 0}, {"m2", 1, 1}};
constexpr ShownUnit volume_shown[] = {{"cm3", 1e-6, 0}, {"L", 1e-3, 1e-4}, {"m3", 1, 1}};
constexpr ShownUnit mass_shown[] = {{"g", 1e-3, 0}, {"kg", 1, 1}};
constexpr ShownUnit surface_density_shown[] = {{"kg/m2", 1, 0}};
constexpr ShownUnit time_shown[] = {{"ms", 1e-3, 0}, {"s", 1, 1}};
constexpr ShownUnit frequency_shown[] = {{"Hz", 1, 0}, {"kHz", 1e3, 1e3}};
constexpr ShownUnit temperature_shown[] = {{"degC", 1, 0, kelvin_at_zero_celsius}};
constexpr ShownUnit pressure_shown[] = {{"Pa", 1, 0}, {"kPa", 1e3, 1e3}};
constexpr ShownUnit sound_speed_shown[] = {{"m/s", 1, 0}};
constexpr ShownUnit density_shown[] = {{"kg/m3", 1, 0}};
constexpr ShownUnit resistance_shown[] = {{"mohm", 1e-3, 0}, {"ohm", 1, 0.1}, {"kohm", 1e3, 1e3}};
constexpr ShownUnit inductance_shown[] = {{"mH", 1e-3, 0}, {"H", 1, 1}};
constexpr ShownUnit voltage_shown[] = {{"mV", 1e-3, 0}, {"V", 1, 0.1}};
constexpr ShownUnit current_shown[] = {{"mA", 1e-3, 0}, {"A", 1, 0.1}};
constexpr ShownUnit power_shown[] = {{"mW", 1e-3, 0}, {"W", 1, 0.1}, {"kW", 1e3, 1e3}};
constexpr ShownUnit charge_shown[] = {{"Ah", coulomb_per_ampere_hour, 0}};
constexpr ShownUnit force_factor_shown[] = {{"Tm", 1, 0}};
constexpr ShownUnit compliance_shown[] = {{"mm/N", 1e-3, 0}};
constexpr ShownUnit mechanical_resistance_shown[] = {{"kg/s", 1, 0}};
constexpr ShownUnit flow_resistivity_shown[] = {{"Pa.s/m2", 1, 0}};
constexpr ShownUnit angle_shown[] = {{"deg", radian_per_degree, 0}};
constexpr ShownUnit level_shown[] = {{"dB", 1, 0}};
constexpr ShownUnit fraction_shown[] = {{"%", 1e-2, 0}};

constexpr Texts length_usual = {"mm", "cm", "m", "in", "ft"};
constexpr Texts area_usual = {"cm2", "mm2", "m2"};
constexpr Texts volume_usual = {"L", "mL", "cm3", "m3", "ft3"};
constexpr Texts mass_usual = {"g", "kg", "mg"};
constexpr Texts surface_density_usual = {"kg/m2", "g/m2"};
constexpr Texts time_usual = {"ms", "s", "us"};
constexpr Texts frequency_usual = {"Hz", "kHz"};
constexpr Texts temperature_usual = {"degC", "degF", "K"};
constexpr Texts pressure_usual = {"Pa", "kPa", "hPa", "mbar"};
constexpr Texts sound_speed_usual = {"m/s", "km/h"};
constexpr Texts density_usual = {"kg/m3", "g/cm3"};
constexpr Texts resistance_usual = {"ohm", "mohm", "kohm"};
constexpr Texts inductance_usual = {"mH", "uH", "H"};
constexpr Texts voltage_usual = {"V", "mV"};
constexpr Texts current_usual = {"A", "mA"};
constexpr Texts power_usual = {"W", "kW"};
constexpr Texts charge_usual = {"Ah", "mAh"};
constexpr Texts force_factor_usual = {"Tm", "T.m", "N/A"};
constexpr Texts compliance_usual = {"mm/N", "um/N", "m/N"};
constexpr Texts mechanical_resistance_usual = {"kg/s", "g/s", "N.s/m"};
constexpr Texts flow_resistivity_usual = {"Pa.s/m2", "rayl/m", "N.s/m4"};
constexpr Texts angle_usual = {"deg", "degree", "degrees", "rad", "mrad"};
constexpr Texts level_usual = {"dB"};
constexpr Texts sound_level_usual = {"dB", "dB SPL"};
constexpr Texts fraction_usual = {"%", "percent"};

constexpr std::array quantity_rows = {
    QuantityWords{"a length", "m", "25 mm, 1.2 m or 6.5 in", length_shown, length_usual},
    QuantityWords{"an area", "m2", "137 cm2 or 50 mm2", area_shown, area_usual},
    QuantityWords{"a volume", "m3", "9.8 L or 350 cm3", volume_shown, volume_usual},
    QuantityWords{"a mass", "kg", "14.2 g or 3.5 kg", mass_shown, mass_usual},
    QuantityWords{"a mass per area", "kg/m2", "8 kg/m2", surface_density_shown, surface_density_usual},
    QuantityWords{"a time", "s", "1.24 ms or 2 s", time_shown, time_usual},
    QuantityWords{"a frequency", "Hz", "62 Hz or 2.8 kHz", frequency_shown, frequency_usual},
    QuantityWords{"a temperature", "K", "20 degC or 293 K", temperature_shown, temperature_usual},
    QuantityWords{"a pressure", "Pa", "101.3 kPa or 1013 hPa", pressure_shown, pressure_usual},
    QuantityWords{"a speed", "m/s", "343.2 m/s", sound_speed_shown, sound_speed_usual},
    QuantityWords{"a density", "kg/m3", "1.204 kg/m3", density_shown, density_usual},
    QuantityWords{"a resistance", "ohm", "3.3 ohm or 5 mohm", resistance_shown, resistance_usual},
    QuantityWords{"an inductance", "H", "0.25 mH", inductance_shown, inductance_usual},
    QuantityWords{"a voltage", "V", "2.83 V or 12.6 V", voltage_shown, voltage_usual},
    QuantityWords{"a current", "A", "60 A or 300 mA", current_shown, current_usual},
    QuantityWords{"a power", "W", "90 W or 2 kW", power_shown, power_usual},
    QuantityWords{"a charge", "C", "75 Ah", charge_shown, charge_usual},
    QuantityWords{"a force factor", "T.m", "7.1 Tm or 7.1 N/A", force_factor_shown, force_factor_usual},
    QuantityWords{"a compliance", "m/N", "0.45 mm/N", compliance_shown, compliance_usual},
    QuantityWords{"a mechanical resistance", "kg/s", "1.2 kg/s or 1.2 N.s/m", mechanical_resistance_shown,
                  mechanical_resistance_usual},
    QuantityWords{"a flow resistivity", "Pa.s/m2", "8000 Pa.s/m2", flow_resistivity_shown,
                  flow_resistivity_usual},
    QuantityWords{"an angle", "rad", "30 deg", angle_shown, angle_usual},
    QuantityWords{"a level", "dB", "-3 dB", level_shown, level_usual},
    QuantityWords{"a sound level", "dB", "105 dB", level_shown, sound_level_usual},
    QuantityWords{"a fraction", "", "45 % or 0.45", fraction_shown, fraction_usual},
};
static_assert(quantity_rows.size() == static_cast<std::size_t>(Quantity::fraction) + 1);

// Other dimensions that a wrong unit may have, each given by one of its units.
constexpr std::pair<std::string_view, std::string_view> other_nouns[] = {
    {"J", "an energy"},
    {"N", "a force"},
    {"F", "a capacitance"},
    {"S", "a conductance"},
    {"m/s2", "an acceleration"},
    {"m3/s", "a volume flow"},
    {"rad/s", "an angular speed"},
    {"T", "a flux density"},
    {"Pa.s/m", "a specific acoustic impedance"},
    {"rad", "an angle"},
    {"1", "a bare number"},
};

struct FreeUnit {
  void operator()(ut_unit* unit) const { ut_free(unit); }
};
using Unit = std::unique_ptr<ut_unit, FreeUnit>;

struct FreeConverter {
  void operator()(cv_converter* converter) const { cv_free(converter); }
};

// Read once and never freed, since units of udunits2 point into it.
class UnitSystem {
 public:
  UnitSystem() {
    ut_set_error_message_handler(ut_ignore);
    system_ = ut_read_xml(nullptr);
    if (system_ == nullptr)
      throw MachineError("the unit definitions of udunits2 cannot be read: is it installed?");
    teach("Ah", "A.h");
    teach("Wh", "W.h");
    teach("deg", "degree");
    teach("rayl", "Pa.s/m");
  }

  Unit parse(const std::string& text) const { return Unit(ut_parse(system_, text.c_str(), UT_ASCII)); }

 private:
  void teach(const char* symbol, const char* meaning) {
    const Unit unit = parse(meaning);
    if (!unit || ut_map_symbol_to_unit(symbol, UT_ASCII, unit.get()) != UT_SUCCESS)
      throw MachineError("the unit definitions of udunits2 are not as expected at " + std::string(symbol));
  }

  ut_system* system_ = nullptr;
};

std::mutex& unit_lock() {
  static std::mutex lock;
  return lock;
}

const UnitSystem& unit_system() {
  static const UnitSystem system;
  return system;
}

// The base units without the scale before and the offset after them: "0.001 m3" -> "m3", "K @ 273.15" -> "K".
std::string dimension_of(const ut_unit* unit) {
  char text[256];
  const int length = ut_format(unit, text, sizeof text, UT_ASCII | UT_DEFINITION);
  if (length < 0 || length >= static_cast<int>(sizeof text)) return "";
  std::string_view definition(text, static_cast<std::size_t>(length));
  definition = definition.substr(0, definition.find(" @"));
  return std::string(definition.substr(definition.rfind(' ') + 1));
}

std::optional<UnitMeaning> look_up(const std::string& text) {
  const Unit unit = unit_system().parse(text);
  if (!unit) return std::nullopt;
  UnitMeaning meaning;
  meaning.dimension = dimension_of(unit.get());
  const Unit base = unit_system().parse(meaning.dimension);
  if (!base) return std::nullopt;
  const std::unique_ptr<cv_converter, FreeConverter> converter(ut_get_converter(unit.get(), base.get()));
  if (!converter) return std::nullopt;
  meaning.offset = cv_convert_double(converter.get(), 0);
  meaning.slope = cv_convert_double(converter.get(), 1) - meaning.offset;
  return meaning;
}

std::map<std::string, std::string_view> dimension_nouns() {
  std::map<std::string, std::string_view> nouns;
  for (const QuantityWords& row : quantity_rows)
    if (auto meaning = look_up(std::string(row.si.empty() || row.si == "dB" ? "1" : row.si)))
      nouns.emplace(meaning->dimension, row.noun);
  for (const auto& [unit, noun] : other_nouns)
    if (auto meaning = look_up(std::string(unit))) nouns.insert_or_assign(meaning->dimension, noun);
  return nouns;
}

}  // namespace

const QuantityWords& quantity_words(Quantity kind) { return quantity_rows[static_cast<std::size_t>(kind)]; }

std::optional<UnitMeaning> unit_meaning(const std::string& unit) {
  const std::lock_guard guard(unit_lock());
  return look_up(unit);
}

std::string_view dimension_noun(const std::string& dimension) {
  const std::lock_guard guard(unit_lock());
  static const std::map<std::string, std::string_view> nouns = dimension_nouns();
  const auto found = nouns.find(dimension);
  return found == nouns.end() ? std::string_view() : found->second;
}

}  // namespace cabinfield
