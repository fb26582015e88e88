// Quantities: conversion, error messages, and writing back.
//
// Conversion factors: NIST Special Publication 811 (2008), appendix B.8 (exact ones in bold there):
// inch 2.54e-2 m, foot 3.048e-1 m, cubic foot 2.831685e-2 m3, litre 1e-3 m3, ampere hour 3.6e3 C,
// degree 1.745329e-2 rad, pound (avoirdupois) 4.535924e-1 kg, millibar 1e2 Pa, standard atmosphere 1.01325e5
// Pa, kilometre per hour 2.777778e-1 m/s, degree Fahrenheit (t + 459.67)/1.8 K. Celsius and the SI prefixes:
// SI brochure, 9th edition (2019), 2.3.4 and table 7.
#include "base/quantity.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>
#include <string>
#include <vector>

namespace cabinfield {
namespace {

constexpr auto last_quantity = static_cast<int>(Quantity::fraction);

struct Conversion {
  std::string text;
  Quantity kind;
  double value;
};

// Exact: the nearest double to the decimal value, as typed.
TEST(Quantity, PowersOfTenConvertToTheNearestDouble) {
  const std::vector<Conversion> table = {
      {"62 Hz", Quantity::frequency, 62},
      {"2.8 kHz", Quantity::frequency, 2800},
      {"9.8 L", Quantity::volume, 0.0098},
      {"9.8 l", Quantity::volume, 0.0098},
      {"350 cm3", Quantity::volume, 350e-6},
      {"350 cm^3", Quantity::volume, 350e-6},
      {"350 cm**3", Quantity::volume, 350e-6},
      {"350 cm³", Quantity::volume, 350e-6},
      {"137 cm2", Quantity::area, 0.0137},
      {"50 mm2", Quantity::area, 50e-6},
      {"0.25 mH", Quantity::inductance, 0.25e-3},
      {"14.2 g", Quantity::mass, 0.0142},
      {"5.5 mm", Quantity::length, 0.0055},
      {"145 mm", Quantity::length, 0.145},
      {"145mm", Quantity::length, 0.145},
      {"  145   mm  ", Quantity::length, 0.145},
      {"145\u00A0mm", Quantity::length, 0.145},
      {"1.45e+2 mm", Quantity::length, 0.145},
      {"0.0145E4 mm", Quantity::length, 0.145},
      {"+145 mm", Quantity::length, 0.145},
      {"-25 mm", Quantity::length, -0.025},
      {"\u221225 mm", Quantity::length, -0.025},
      {"1e-3 m", Quantity::length, 0.001},
      {".5 m", Quantity::length, 0.5},
      {"5. m", Quantity::length, 5},
      {"12 µm", Quantity::length, 12e-6},
      {"12 μm", Quantity::length, 12e-6},
      {"3.3 ohm", Quantity::resistance, 3.3},
      {"3.3 Ohm", Quantity::resistance, 3.3},
      {"3.3 Ω", Quantity::resistance, 3.3},
      {"5 mohm", Quantity::resistance, 0.005},
      {"75 Ah", Quantity::charge, 75 * 3600.0},
      {"75 A.h", Quantity::charge, 75 * 3600.0},
      {"800 mAh", Quantity::charge, 0.8 * 3600},
      {"2 kW", Quantity::power, 2000},
      {"12.6 V", Quantity::voltage, 12.6},
      {"300 mA", Quantity::current, 0.3},
      {"1.24 ms", Quantity::time, 0.00124},
      {"8 kg/m2", Quantity::surface_density, 8},
      {"1.204 kg/m3", Quantity::density, 1.204},
      {"343.2 m/s", Quantity::sound_speed, 343.2},
      {"343.2 m s-1", Quantity::sound_speed, 343.2},
      {"101.325 kPa", Quantity::pressure, 101325},
      {"1013.25 mbar", Quantity::pressure, 101325},
      {"7.1 Tm", Quantity::force_factor, 7.1},
      {"7.1 T.m", Quantity::force_factor, 7.1},
      {"7.1 T m", Quantity::force_factor, 7.1},
      {"7.1 T·m", Quantity::force_factor, 7.1},
      {"7.1 N/A", Quantity::force_factor, 7.1},
      {"0.45 mm/N", Quantity::compliance, 0.45e-3},
      {"450 um/N", Quantity::compliance, 450e-6},
      {"1.2 kg/s", Quantity::mechanical_resistance, 1.2},
      {"1.2 N.s/m", Quantity::mechanical_resistance, 1.2},
      {"8000 Pa.s/m2", Quantity::flow_resistivity, 8000},
      {"8000 Pa s/m²", Quantity::flow_resistivity, 8000},
      {"8000 N.s/m4", Quantity::flow_resistivity, 8000},
      {"8000 rayl/m", Quantity::flow_resistivity, 8000},
      {"0.5 rad", Quantity::angle, 0.5},
      {"-3 dB", Quantity::level, -3},
      {"-3dB", Quantity::level, -3},
      {"105 dB", Quantity::sound_level, 105},
      {"105 dB SPL", Quantity::sound_level, 105},
      {"45 %", Quantity::fraction, 0.45},
      {"45%", Quantity::fraction, 0.45},
      {"45 percent", Quantity::fraction, 0.45},
      {"0.45", Quantity::fraction, 0.45},
      {"293 K", Quantity::temperature, 293},
  };
  for (const Conversion& row : table) {
    const ParsedQuantity parsed = parse_quantity(row.text, row.kind);
    ASSERT_TRUE(parsed.value) << row.text << ": " << parsed.error;
    EXPECT_EQ(*parsed.value, row.value) << row.text;
    EXPECT_EQ(parsed.error, "");
  }
}

// The published factors have seven figures where they are not exact: 2e-7 relative.
TEST(Quantity, OtherUnitsFollowTheirPublishedFactors) {
  const std::vector<Conversion> table = {
      {"6.5 in", Quantity::length, 6.5 * 2.54e-2},
      {"1 inch", Quantity::length, 2.54e-2},
      {"6.5\"", Quantity::length, 6.5 * 2.54e-2},
      {"6.5 ″", Quantity::length, 6.5 * 2.54e-2},
      {"1 ft", Quantity::length, 3.048e-1},
      {"1 ft3", Quantity::volume, 2.831685e-2},
      {"1 lb", Quantity::mass, 4.535924e-1},
      {"1 atm", Quantity::pressure, 1.01325e5},
      {"1 km/h", Quantity::sound_speed, 2.777778e-1},
      {"1 deg", Quantity::angle, 1.745329e-2},
      {"1 degree", Quantity::angle, 1.745329e-2},
      {"1°", Quantity::angle, 1.745329e-2},
      {"20 degC", Quantity::temperature, 293.15},
      {"20 °C", Quantity::temperature, 293.15},
      {"20 celsius", Quantity::temperature, 293.15},
      {"-10 degC", Quantity::temperature, 263.15},
      {"68 degF", Quantity::temperature, (68 + 459.67) / 1.8},
  };
  for (const Conversion& row : table) {
    const ParsedQuantity parsed = parse_quantity(row.text, row.kind);
    ASSERT_TRUE(parsed.value) << row.text << ": " << parsed.error;
    EXPECT_NEAR(*parsed.value, row.value, 2e-7 * std::abs(row.value)) << row.text;
  }
}

struct Refusal {
  std::string text;
  Quantity kind;
  std::string error;
};

TEST(Quantity, SaysWhatIsWrong) {
  const std::vector<Refusal> table = {
      {"62", Quantity::frequency, "'62' has no unit: write a frequency such as 62 Hz or 2.8 kHz"},
      {"62 kg", Quantity::frequency, "'62 kg' is a mass, expected a frequency such as 62 Hz or 2.8 kHz"},
      {"10 ms", Quantity::frequency, "'10 ms' is a time, expected a frequency such as 62 Hz or 2.8 kHz"},
      {"62 rad/s", Quantity::frequency,
       "'62 rad/s' is an angular speed, expected a frequency such as 62 Hz or 2.8 kHz"},
      {"600 rpm", Quantity::frequency,
       "'600 rpm' is an angular speed, expected a frequency such as 62 Hz or 2.8 kHz"},
      {"20 C", Quantity::temperature,
       "'20 C' is a charge, expected a temperature such as 20 degC or 293 K; did you mean '20 degC'?"},
      {"20 F", Quantity::temperature,
       "'20 F' is a capacitance, expected a temperature such as 20 degC or 293 K; did you mean '20 degF'?"},
      {"-300 degC", Quantity::temperature, "'-300 degC' is below absolute zero, -273.15 degC"},
      {"0,25 mH", Quantity::inductance,
       "'0,25 mH' has a comma in the number: write a decimal point and no separators between thousands, as "
       "in "
       "'0.25 mH'"},
      {"1,200 mm", Quantity::length,
       "'1,200 mm' has a comma in the number: write a decimal point and no separators between thousands, as "
       "in "
       "'1200 mm' for thousands or '1.200 mm' for decimals"},
      {"0,200 m", Quantity::length,
       "'0,200 m' has a comma in the number: write a decimal point and no separators between thousands, as "
       "in "
       "'0.200 m'"},
      {"1,234,567 mm", Quantity::length,
       "'1,234,567 mm' has a comma in the number: write a decimal point and no separators between thousands, "
       "as in "
       "'1234567 mm'"},
      {"2.8 khz", Quantity::frequency,
       "'2.8 khz': 'khz' is not a known unit, expected a frequency such as 62 Hz or 2.8 kHz; did you "
       "mean "
       "'2.8 kHz'?"},
      {"62 HZ", Quantity::frequency,
       "'62 HZ': 'HZ' is not a known unit, expected a frequency such as 62 Hz or 2.8 kHz; did you mean "
       "'62 "
       "Hz'?"},
      {"25 MM", Quantity::length,
       "'25 MM': 'MM' is not a known unit, expected a length such as 25 mm, 1.2 m or 6.5 in; did you "
       "mean '25 "
       "mm'?"},
      {"0.25 mh", Quantity::inductance,
       "'0.25 mh' is a time, expected an inductance such as 0.25 mH; did you mean '0.25 mH'?"},
      {"101325 pa", Quantity::pressure,
       "'101325 pa' is an area, expected a pressure such as 101.3 kPa or 1013 hPa; did you mean '101325 "
       "Pa'?"},
      {"-3 db", Quantity::level,
       "'-3 db': 'db' is not a known unit, expected a level such as -3 dB; did you mean '-3 dB'?"},
      {"-3 dB", Quantity::length, "'-3 dB' is a level, expected a length such as 25 mm, 1.2 m or 6.5 in"},
      {"7 Tm", Quantity::length,
       "'7 Tm' is a force factor, expected a length such as 25 mm, 1.2 m or 6.5 in"},
      {"6.5\"", Quantity::angle, "'6.5\"': '\"' is not a known unit, expected an angle such as 30 deg"},
      {"5 %", Quantity::angle, "'5 %' is a bare number, expected an angle such as 30 deg"},
      {"", Quantity::length, "'' is empty, expected a length such as 25 mm, 1.2 m or 6.5 in"},
      {"   ", Quantity::length, "'   ' is empty, expected a length such as 25 mm, 1.2 m or 6.5 in"},
      {"mm", Quantity::length,
       "'mm' does not begin with a number, expected a length such as 25 mm, 1.2 m or 6.5 in"},
      {"1e999 m", Quantity::length,
       "'1e999 m' is too large or too small a number, expected a length such as 25 mm, 1.2 m or 6.5 "
       "in"},
      {"1e308 km", Quantity::length,
       "'1e308 km' is too large or too small a number, expected a length such as 25 mm, 1.2 m or 6.5 in"},
      {"45 ppm", Quantity::fraction,
       "'45 ppm': 'ppm' is not a known unit, expected a fraction such as 45 % or 0.45"},
      {"62 kg\n", Quantity::frequency, "'62 kg\\n' is a mass, expected a frequency such as 62 Hz or 2.8 kHz"},
  };
  for (const Refusal& row : table) {
    const ParsedQuantity parsed = parse_quantity(row.text, row.kind);
    EXPECT_FALSE(parsed.value) << row.text;
    EXPECT_EQ(parsed.error, row.error) << row.text;
  }
}

// Forms that the units library accepts and nobody means: numbers in units, shifts, logarithms, values that
// are not finite.
TEST(Quantity, RefusesWhatIsNotANumberAndAUnit) {
  const std::vector<std::string> lengths = {
      "5 10 mm",     "5 m 10",       "5 m 10 cm", "5 m.10",      "5 m*10",     "5 m -1",        "5 (10 mm)",
      "5 1/m",       "5 mm since 3", "5 mm @ 3",  "5 mm from 3", "5 mm after", "5 lg(re 1 mm)", "5 lg(re mm)",
      "5 m since 1", "inf m",        "nan m",     "-inf m",      "0x10 m",     "--5 m",         "+-5 m",
      "5e m",        "- 5 m",        "5'",        "5 m;",        "five mm",    "5 mm 5 mm",     "5 мм",
      "5 m\x01",     "5 \xFF",       "m 5",       "5 m/0",       "1.2.3 m",    "1_000 m",
  };
  for (const std::string& text : lengths) {
    const ParsedQuantity parsed = parse_quantity(text, Quantity::length);
    EXPECT_FALSE(parsed.value) << text << " gives " << *parsed.value;
    EXPECT_NE(parsed.error, "") << text;
    EXPECT_EQ(parsed.error.find('\n'), std::string::npos) << text;
  }
  for (const char* text : {"85 dBA", "85 dB(A)", "85", "85 phon", "85 dB dB"})
    EXPECT_FALSE(parse_quantity(text, Quantity::sound_level).value) << text;
}

TEST(Quantity, CutsLongTextInMessages) {
  const ParsedQuantity parsed = parse_quantity("5 " + std::string(1'000'000, 'x'), Quantity::length);
  EXPECT_FALSE(parsed.value);
  EXPECT_LT(parsed.error.size(), 300U);
}

TEST(Quantity, EveryExampleAndItsOwnUnitAreRead) {
  for (int i = 0; i <= last_quantity; ++i) {
    const auto kind = static_cast<Quantity>(i);
    const std::string examples(unit_examples(kind));
    for (std::size_t at = 0; at < examples.size();) {
      const std::size_t comma = examples.find(", ", at);
      const std::size_t word = examples.find(" or ", at);
      const std::size_t end = std::min({comma, word, examples.size()});
      const std::string example = examples.substr(at, end - at);
      EXPECT_TRUE(parse_quantity(example, kind).value) << example;
      at = end == examples.size() ? end : end + (comma < word ? 2 : 4);
    }
    EXPECT_EQ(parse_quantity("1 " + std::string(si_unit(kind)), kind).value, 1.0) << si_unit(kind);
    EXPECT_FALSE(quantity_noun(kind).empty());
  }
}

TEST(Quantity, IsTheSameDoubleAfterWritingAndReading) {
  std::mt19937_64 random(20);
  for (int i = 0; i <= last_quantity; ++i) {
    const auto kind = static_cast<Quantity>(i);
    std::vector<double> values = {0,
                                  1,
                                  0.1,
                                  1.0 / 3,
                                  1e-300,
                                  1e300,
                                  std::numeric_limits<double>::denorm_min(),
                                  std::numeric_limits<double>::max()};
    for (int n = 0; n < 200; ++n)
      values.push_back(
          std::ldexp(static_cast<double>(random() >> 11), static_cast<int>(random() % 200) - 150));
    for (double value : values) {
      for (double signed_value : {value, -value}) {
        if (kind == Quantity::temperature && signed_value < 0) continue;
        const std::string text = format_quantity(signed_value, kind);
        const ParsedQuantity parsed = parse_quantity(text, kind);
        ASSERT_TRUE(parsed.value) << text << ": " << parsed.error;
        EXPECT_EQ(*parsed.value, signed_value) << text;
      }
    }
  }
}

TEST(Quantity, IsReadableInTheUnitPeopleUse) {
  struct Row {
    double value;
    Quantity kind;
    std::string text;
  };
  const std::vector<Row> table = {
      {0.145, Quantity::length, "145 mm"},
      {0, Quantity::length, "0 mm"},
      {-0.0055, Quantity::length, "-5.5 mm"},
      {1.2, Quantity::length, "1.2 m"},
      {0.9999, Quantity::length, "999.9 mm"},
      {0.0098, Quantity::volume, "9.8 L"},
      {0.00005, Quantity::volume, "50 cm3"},
      {6, Quantity::volume, "6 m3"},
      {62, Quantity::frequency, "62 Hz"},
      {2800, Quantity::frequency, "2.8 kHz"},
      {20000, Quantity::frequency, "20 kHz"},
      {0.0137, Quantity::area, "137 cm2"},
      {0.0142, Quantity::mass, "14.2 g"},
      {293.15, Quantity::temperature, "20 degC"},
      {263.15, Quantity::temperature, "-10 degC"},
      {101325, Quantity::pressure, "101.3 kPa"},
      {270000, Quantity::charge, "75 Ah"},
      {0.45, Quantity::fraction, "45 %"},
      {-3, Quantity::level, "-3 dB"},
      {0.00124, Quantity::time, "1.24 ms"},
      {1.0 / 3, Quantity::level, "0.3333 dB"},
      {123456, Quantity::flow_resistivity, "123456 Pa.s/m2"},
      {3.14159265358979, Quantity::angle, "180 deg"},
  };
  for (const Row& row : table) EXPECT_EQ(readable_quantity(row.value, row.kind), row.text);
  EXPECT_EQ(readable_range(0, 0.3, Quantity::length), "0 mm to 300 mm");
  EXPECT_EQ(readable_range(0.02, 20, Quantity::length), "0.02 m to 20 m");
}

// The point of a power of ten is moved by adding to the exponent, which must not overflow.
TEST(Quantity, ZeroHasAnyExponent) {
  for (const char* number : {"0e9223372036854775806", "0e9223372036854775807", "0e-9223372036854775808",
                             "-0.00e9223372036854775806", "0e99999999999999999999"})
    for (const char* unit : {" km", " mm", " nm"}) {
      const ParsedQuantity parsed = parse_quantity(std::string(number) + unit, Quantity::length);
      ASSERT_TRUE(parsed.value) << number << unit << ": " << parsed.error;
      EXPECT_EQ(*parsed.value, 0) << number << unit;
    }
  EXPECT_EQ(parse_quantity("0e-9223372036854775808 %", Quantity::fraction).value, 0);
}

TEST(Quantity, ReadableTextIsReadBackToFourFigures) {
  for (int i = 0; i <= last_quantity; ++i) {
    const auto kind = static_cast<Quantity>(i);
    for (double value = 0.0007; value < 1e5; value *= 3.7) {
      const std::string text = readable_quantity(value, kind);
      const ParsedQuantity parsed = parse_quantity(text, kind);
      ASSERT_TRUE(parsed.value) << text << ": " << parsed.error;
      // Half a unit in the fourth figure, 5e-4 at worst; degrees Celsius are rounded away from zero kelvin.
      EXPECT_NEAR(*parsed.value, value, kind == Quantity::temperature ? 0.5 : 5.001e-4 * value) << text;
    }
  }
}

}  // namespace
}  // namespace cabinfield
