// Quantities as data sheets print them: text with a number and a unit, converted to SI and back.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace cabinfield {

/// What a quantity measures. Values are in the SI unit named here.
enum class Quantity {
  length,                 // m
  area,                   // m2
  volume,                 // m3
  mass,                   // kg
  surface_density,        // kg/m2
  time,                   // s
  frequency,              // Hz
  temperature,            // K
  pressure,               // Pa
  sound_speed,            // m/s
  density,                // kg/m3
  resistance,             // ohm
  inductance,             // H
  voltage,                // V
  current,                // A
  power,                  // W
  charge,                 // C ("75 Ah")
  force_factor,           // T m ("7.1 Tm", N/A)
  compliance,             // m/N
  mechanical_resistance,  // kg/s ("1.2 kg/s", N s/m)
  flow_resistivity,       // Pa s/m2
  angle,                  // rad
  level,                  // dB, kept in dB (outside the units library)
  sound_level,            // dB re 20 uPa, kept in dB
  fraction,               // 1; written "45 %" or as a bare number
};

/// Result of reading a quantity: a value in SI, or an error message.
struct ParsedQuantity {
  std::optional<double> value;
  std::string error;  // e.g. "'62 kg' is a mass, expected a frequency such as 62 Hz or 2.8 kHz"
};

/// Reads `62 Hz`, `9.8 L`, `137 cm2`, `20 degC`, `-3 dB`, `6.5 in`. Number and unit are split here; udunits2
/// converts the unit, and its dimension is always checked (udunits2 itself would convert a time to a
/// frequency, and accept rad/s for Hz). Also accepted: Ah, Wh, deg, rayl (Pa s/m, the MKS rayl), Tm (tesla
/// metre), `"` for inches; µ, Ω, ², ³, · and ° as printed; a true minus sign; no-break spaces. dB and bare
/// fractions are read here. The value is finite; if the unit is a power of ten of the SI unit, it is the
/// double nearest to the given decimal. Thread-safe by a lock (udunits2 allows one call at a time). Throws
/// MachineError if the unit definitions of udunits2 are missing.
ParsedQuantity parse_quantity(std::string_view text, Quantity kind);

/// "a length", "a frequency": for messages.
std::string_view quantity_noun(Quantity kind);

/// The SI unit of values of this kind, e.g. "m3"; "" for a fraction.
std::string_view si_unit(Quantity kind);

/// Examples for messages, e.g. "62 Hz or 2.8 kHz".
std::string_view unit_examples(Quantity kind);

/// Text that parse_quantity reads back to the same double, e.g. "0.0137 m2", "62 Hz", "-3 dB". The value must
/// be finite.
std::string format_quantity(double value, Quantity kind);

/// Short text for messages in a customary unit, four figures, e.g. "145 mm", "9.8 L", "62 Hz".
std::string readable_quantity(double value, Quantity kind);

/// A range in the unit that suits the larger value, e.g. "0 mm to 300 mm".
std::string readable_range(double least, double greatest, Quantity kind);

}  // namespace cabinfield
