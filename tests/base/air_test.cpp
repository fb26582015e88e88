#include "base/air.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <stdexcept>

namespace cabinfield {
namespace {

AirConditions conditions(double celsius, double humidity_percent, double pressure_pa = 101325.0) {
  return {celsius + 273.15, humidity_percent / 100.0, pressure_pa};
}

// IEC 61094-2:2009, Table F.1: 23 degC, 101.325 kPa, 50 %. Tolerances: half of the last printed digit.
TEST(Air, MatchesTheMicrophoneStandard) {
  const Air air = air_at(conditions(23, 50));
  EXPECT_NEAR(air.density_kg_m3, 1.1860848, 0.5e-7);
  EXPECT_NEAR(air.sound_speed_m_s, 345.86652, 0.5e-5);
  EXPECT_NEAR(heat_capacity_ratio(conditions(23, 50)), 1.4007573, 0.5e-7);
}

// ISO 2533:1975, standard atmosphere at sea level (from memory): 15 degC, dry, 1.2250 kg/m3, 340.294 m/s. It
// is an ideal gas with a ratio of specific heats of exactly 1.4; the real one differs by some 0.05 %.
TEST(Air, MatchesTheStandardAtmosphere) {
  const Air air = air_at(conditions(15, 0));
  EXPECT_NEAR(air.density_kg_m3, 1.2250, 1.2250 * 1e-3);
  EXPECT_NEAR(air.sound_speed_m_s, 340.294, 340.294 * 1e-3);
}

// Dry ideal gas: c^2 = 1.4 * 287.05 J/(kg K) * T. 0.15 % covers the real ratio of specific heats and the
// polynomial outside its stated range.
TEST(Air, StaysNearAnIdealGasOverTheWholeRange) {
  for (double celsius = -20; celsius <= 50; celsius += 5) {
    const double ideal = std::sqrt(1.4 * 287.05 * (celsius + 273.15));
    const Air air = air_at(conditions(celsius, 0));
    EXPECT_NEAR(air.sound_speed_m_s, ideal, 1.5e-3 * ideal) << celsius;
    EXPECT_NEAR(air.density_kg_m3, 101325.0 / (287.05 * (celsius + 273.15)), 1.5e-3 * air.density_kg_m3)
        << celsius;
  }
}

struct AbsorptionRow {
  double celsius, humidity_percent;
  int tenth_decade;  // exact mid-band frequency 1000 * 10^(k/10)
  double db_per_km, half_digit;
};

// ISO 9613-1:1993, Table 1, 101.325 kPa, at exact mid-band frequencies. Tolerances: half of the last printed
// digit.
TEST(Air, MatchesTheAbsorptionStandard) {
  const AbsorptionRow rows[] = {
      {20, 50, 0, 4.66, 0.005}, {20, 50, 3, 9.86, 0.005},    {10, 70, 0, 3.66, 0.005},
      {30, 50, 6, 24.5, 0.05},  {0, 10, -13, 0.302, 0.0005}, {15, 100, 10, 105, 0.5},
  };
  for (const AbsorptionRow& row : rows) {
    const double frequency = 1000.0 * std::pow(10.0, row.tenth_decade / 10.0);
    EXPECT_NEAR(1000.0 * attenuation_db_per_m(conditions(row.celsius, row.humidity_percent), frequency),
                row.db_per_km, row.half_digit)
        << row.celsius << " degC, " << row.humidity_percent << " %, " << frequency << " Hz";
  }
}

TEST(Air, EnergyAttenuationIsTheDecibelsOfIntensity) {
  const Air air = air_at(conditions(20, 50));
  const std::vector<double> m = air.energy_attenuation_per_m({0.0, 1000.0, 8000.0});
  ASSERT_EQ(m.size(), 3u);
  EXPECT_EQ(m[0], 0.0);
  const double distance_m = 37.0;
  EXPECT_NEAR(-10.0 * std::log10(std::exp(-m[1] * distance_m)),
              distance_m * attenuation_db_per_m(air.conditions, 1000.0), 1e-12);
  EXPECT_GT(m[2], m[1]);
}

TEST(Air, TakesSoundSpeedAndDensityOutright) {
  const Air air = air_with(343.2, 1.204);
  EXPECT_EQ(air.sound_speed_m_s, 343.2);
  EXPECT_EQ(air.density_kg_m3, 1.204);
  EXPECT_DOUBLE_EQ(air.characteristic_impedance(), 343.2 * 1.204);
  EXPECT_EQ(air.energy_attenuation_per_m({4000.0}), air_at({}).energy_attenuation_per_m({4000.0}));
}

TEST(Air, RefusesWhatIsOutsideItsRange) {
  EXPECT_NO_THROW(air_at(conditions(-20, 0, 60e3)));
  EXPECT_NO_THROW(air_at(conditions(50, 100, 110e3)));
  EXPECT_THROW(air_at(conditions(-21, 50)), std::invalid_argument);
  EXPECT_THROW(air_at(conditions(51, 50)), std::invalid_argument);
  EXPECT_THROW(air_at(conditions(20, -1)), std::invalid_argument);
  EXPECT_THROW(air_at(conditions(20, 101)), std::invalid_argument);
  EXPECT_THROW(air_at(conditions(20, 50, 59e3)), std::invalid_argument);
  EXPECT_THROW(air_at(conditions(20, 50, 111e3)), std::invalid_argument);
  EXPECT_THROW(air_at(conditions(std::nan(""), 50)), std::invalid_argument);
  EXPECT_THROW(heat_capacity_ratio(conditions(51, 50)), std::invalid_argument);
  EXPECT_THROW(air_with(0, 1.2), std::invalid_argument);
  EXPECT_THROW(air_with(343, -1), std::invalid_argument);
}

}  // namespace
}  // namespace cabinfield
