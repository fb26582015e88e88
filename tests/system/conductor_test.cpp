#include "system/conductor.h"

#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>

#include "system/fuse.h"

namespace cabinfield {
namespace {

TEST(Conductor, MetricAreasHaveTheGreatestResistanceOfTheirClass) {
  // IEC 60228 class 5, plain copper, 20 degC, read in a transcription.
  for (const auto& [area_mm2, ohm_km] :
       {std::pair{10.0, 1.91}, {16.0, 1.21}, {25.0, 0.780}, {35.0, 0.554}, {50.0, 0.386}})
    EXPECT_NEAR(metric_conductor(area_mm2 * 1e-6).resistance_ohm_m * 1000, ohm_km, 1e-12) << area_mm2;
  EXPECT_EQ(metric_conductor(16e-6).name, "16 mm2");
  EXPECT_THROW(metric_conductor(0.3e-6), std::invalid_argument);
  EXPECT_THROW(metric_conductor(300e-6), std::invalid_argument);
}

TEST(Conductor, AnAreaBetweenLiesBetween) {
  const double r = metric_conductor(20e-6).resistance_ohm_m;
  EXPECT_LT(r, metric_conductor(16e-6).resistance_ohm_m);
  EXPECT_GT(r, metric_conductor(25e-6).resistance_ohm_m);
  EXPECT_NEAR(r * 20e-6, 19.43e-9, 0.03e-9);  // 16 mm2: 19.36, 25 mm2: 19.5 ohm mm2/km
}

TEST(Conductor, GaugesFollowTheirFormula) {
  // 4 AWG: 0.8152 ohm/km at 20 degC, 21.15 mm2 (read in a transcription of a wire table); 1/0 AWG 53.5 mm2,
  // 10 AWG 5.26 mm2 (from memory).
  EXPECT_NEAR(gauge_conductor(4).resistance_ohm_m * 1000, 0.8152, 0.0001);
  EXPECT_NEAR(gauge_conductor(4).area_m2 * 1e6, 21.15, 0.005);
  EXPECT_NEAR(gauge_conductor(0).area_m2 * 1e6, 53.5, 0.05);
  EXPECT_NEAR(gauge_conductor(10).area_m2 * 1e6, 5.26, 0.005);
  EXPECT_EQ(gauge_conductor(0).name, "1/0 AWG");
  EXPECT_EQ(gauge_conductor(-3).name, "4/0 AWG");
  EXPECT_THROW(gauge_conductor(21), std::invalid_argument);
}

TEST(Conductor, CopperResistsMoreWhenHot) {
  // 3.93e-3 a kelvin from 20 degC (IEC 60028): 80 degC is 1.2358 of it, 0 degC 0.9214.
  EXPECT_NEAR(copper_ratio(80), 1.2358, 1e-12);
  EXPECT_NEAR(copper_ratio(0), 0.9214, 1e-12);
}

TEST(Conductor, CarriesWhatTheStandardForBoatsLetsItCarry) {
  // ISO 10133:2000 Table A.1, single conductors, insulation for 105 degC, 30 degC about them; values from
  // memory.
  for (const auto& [area_mm2, current_a] :
       {std::pair{10.0, 90.0}, {16.0, 130.0}, {25.0, 170.0}, {35.0, 210.0}, {50.0, 270.0}})
    EXPECT_NEAR(conductor_current_limit_a(metric_conductor(area_mm2 * 1e-6), 30) / current_a, 1, 0.05)
        << area_mm2;
}

TEST(Conductor, TemperatureAndLimitAreOneLaw) {
  const Conductor conductor = metric_conductor(25e-6);
  const double limit = conductor_current_limit_a(conductor, 40);
  EXPECT_NEAR(conductor_temperature_c(conductor, limit, 40), insulation_limit_c, 1e-9);
  EXPECT_NEAR(conductor_temperature_c(conductor, 0, 40), 40, 1e-12);
  EXPECT_TRUE(std::isinf(conductor_temperature_c(conductor, 2000, 40)));
  EXPECT_EQ(conductor_current_limit_a(conductor, 110), 0);
}

TEST(CableRun, DropsAsWorkedByHand) {
  // 100 A over 5 m of 35 mm2 and back at 20 degC, no connections: 2 x 5 x 0.554 mohm = 5.54 mohm, 0.554 V.
  CableRun run{metric_conductor(35e-6), 5.0};
  run.connections = 0;
  EXPECT_NEAR(run_resistance_ohm(run, 20) * 100, 0.554, 1e-9);
  // Back through the body: 2.77 mohm and 1 mohm; four connections 0.8 mohm more.
  run.returns_in_cable = false;
  run.connections = 4;
  EXPECT_NEAR(run_resistance_ohm(run, 20), 4.57e-3, 1e-9);
}

TEST(CableRun, TheLeastConductorHoldsTheDropAndNoThinnerOneDoes) {
  // Long enough for the drop to decide, and so short that the heat does.
  for (double length_m : {4.0, 0.2})
    for (double current_a : {5.0, 20.0, 60.0, 120.0, 250.0}) {
      CableRun run{metric_conductor(0.5e-6), length_m};
      const double drop_v = 0.03 * 13.8;
      for (const auto* list : {&metric_conductors(), &gauge_conductors()}) {
        const Conductor* least = least_conductor(*list, run, current_a, drop_v, 40);
        for (const Conductor& conductor : *list) {
          run.conductor = conductor;
          const double copper_c = conductor_temperature_c(conductor, current_a, 40);
          const bool good =
              copper_c <= insulation_limit_c && current_a * run_resistance_ohm(run, copper_c) <= drop_v;
          const bool at_least = least != nullptr && conductor.area_m2 >= least->area_m2;
          EXPECT_EQ(good, at_least) << conductor.name << " at " << current_a << " A";
        }
      }
    }
}

TEST(Fuse, StepsAreThoseOfTheStandardAndRise) {
  // ISO 8820-3 blade fuses to 40 A, bolted ones of parts 4 and 5 to 500 A; from memory.
  for (double step : {7.5, 30.0, 60.0, 80.0, 150.0, 250.0}) EXPECT_TRUE(is_fuse_step(step)) << step;
  for (double other : {8.0, 45.0, 90.0, 110.0}) EXPECT_FALSE(is_fuse_step(other)) << other;
  for (std::size_t i = 1; i < fuse_steps_a().size(); ++i) EXPECT_GT(fuse_steps_a()[i], fuse_steps_a()[i - 1]);
}

TEST(Fuse, CarriesItsLoadAndProtectsItsCable) {
  EXPECT_EQ(cable_fuse_a(42, 130), 60);             // 50 A carries 37.5 A for good
  EXPECT_EQ(cable_fuse_a(45, 60), 60);              // just
  EXPECT_EQ(cable_fuse_a(45.1, 60), std::nullopt);  // 70 A would be needed
  EXPECT_EQ(cable_fuse_a(400, 1000), std::nullopt);
}

}  // namespace
}  // namespace cabinfield
