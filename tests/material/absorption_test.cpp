#include "material/absorption.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <stdexcept>

#include "base/constants.h"

namespace cabinfield {
namespace {

// Simpson's rule on alpha(theta) sin(2 theta): the definition of Paris' average.
double average_by_quadrature(double zeta) {
  constexpr int steps = 4000;
  const double step = 0.5 * pi / steps;
  double sum = 0;
  for (int i = 0; i <= steps; ++i) {
    const double theta = i * step;
    const double cosine = std::cos(theta);
    const double value =
        4.0 * zeta * cosine / ((1.0 + zeta * cosine) * (1.0 + zeta * cosine)) * std::sin(2.0 * theta);
    sum += value * (i == 0 || i == steps ? 1.0 : (i % 2 == 1 ? 4.0 : 2.0));
  }
  return sum * step / 3.0;
}

// 1e-8: error of the quadrature, largest for hard surfaces, whose absorption peaks at grazing incidence.
TEST(Absorption, IsParisAverageOverAngles) {
  for (double zeta : {0.01, 0.0999, 0.1001, 0.5, 1.0, 1.566924, 3.0, 8.0, 20.0, 40.0})
    EXPECT_NEAR(random_incidence_absorption(zeta), average_by_quadrature(zeta), 1e-8) << zeta;
}

TEST(Absorption, SeriesAndClosedFormAgree) {
  // 1e-12: precision left of 16 digits after cancellation in the closed form at zeta = 0.1.
  const double below = random_incidence_absorption(std::nextafter(0.1, 0.0));
  EXPECT_NEAR(below, random_incidence_absorption(0.1), 1e-12);
}

// Greatest value 0.951 at zeta = 1.567 (Kuttruff, Room Acoustics, section 2.5; quoted from memory).
TEST(Absorption, HasItsGreatestValueWhereTheTextbookSays) {
  EXPECT_NEAR(greatest_real_absorption, 0.951, 0.0005);
  EXPECT_NEAR(specific_impedance_at_greatest_absorption, 1.567, 0.0005);
  EXPECT_NEAR(random_incidence_absorption(specific_impedance_at_greatest_absorption),
              greatest_real_absorption, 1e-15);
  for (double away : {0.99, 0.999, 1.001, 1.01})
    EXPECT_LT(random_incidence_absorption(away * specific_impedance_at_greatest_absorption),
              greatest_real_absorption);
}

// Roots computed with 40-digit decimal arithmetic. The slope of the curve limits what doubles can give near
// the maximum.
TEST(Absorption, InvertsToTheLargerRoot) {
  EXPECT_NEAR(specific_impedance_of_absorption(0.01), 787.462063301840678, 1e-9);
  EXPECT_NEAR(specific_impedance_of_absorption(0.08), 91.1607586628490383, 1e-11);
  EXPECT_NEAR(specific_impedance_of_absorption(0.35), 16.1437467681206183, 1e-12);
  EXPECT_NEAR(specific_impedance_of_absorption(0.54), 8.54371897674251846, 1e-12);
  EXPECT_NEAR(specific_impedance_of_absorption(0.90), 2.59770062901808152, 1e-12);
  EXPECT_NEAR(specific_impedance_of_absorption(0.95), 1.69126986489722960, 1e-12);
}

TEST(Absorption, InversionHoldsOverTheWholeRange) {
  for (double absorption = 1e-6; absorption < greatest_real_absorption; absorption += 0.00731) {
    const double zeta = specific_impedance_of_absorption(absorption);
    EXPECT_GE(zeta, specific_impedance_at_greatest_absorption);
    EXPECT_NEAR(random_incidence_absorption(zeta), absorption, 1e-14) << absorption;
  }
}

TEST(Absorption, ClampsAboveTheGreatestAndIsRigidAtZero) {
  EXPECT_EQ(specific_impedance_of_absorption(0.96), specific_impedance_at_greatest_absorption);
  EXPECT_EQ(specific_impedance_of_absorption(1.0), specific_impedance_at_greatest_absorption);
  EXPECT_EQ(specific_impedance_of_absorption(0.0), std::numeric_limits<double>::infinity());
}

TEST(AbsorptionTable, GivesEachBandItsOwnAbsorption) {
  const AbsorptionTable table = {{125, 0.08}, {250, 0.24}, {500, 0.57}, {1000, 0.69}};
  for (const auto& [band_hz, absorption] : table)
    EXPECT_NEAR(random_incidence_absorption(1.0 / absorption_admittance(table, {band_hz})[0]), absorption,
                1e-13);
}

TEST(AbsorptionTable, IsLinearBetweenBandsOnLogarithmicAxes) {
  const AbsorptionTable table = {{125, 0.08}, {250, 0.24}};
  const std::vector<double> beta = absorption_admittance(table, {125.0, std::sqrt(125.0 * 250.0), 250.0});
  EXPECT_NEAR(beta[1], std::sqrt(beta[0] * beta[2]), 1e-15);
}

TEST(AbsorptionTable, FallsWithFrequencyBelowItsLowestBandAndIsHeldAboveItsHighest) {
  const AbsorptionTable table = {{125, 0.35}, {4000, 0.04}};
  const std::vector<double> beta = absorption_admittance(table, {0.0, 12.5, 125.0, 4000.0, 4001.0, 20000.0});
  EXPECT_EQ(beta[0], 0.0);
  EXPECT_NEAR(beta[1], 0.1 * beta[2], 1e-16);
  EXPECT_EQ(beta[4], beta[3]);
  EXPECT_EQ(beta[5], beta[3]);
}

TEST(AbsorptionTable, IsContinuousBetweenItsRanges) {
  const AbsorptionTable table = {{125, 0.0}, {250, 0.2}, {500, 0.5}, {1000, 0.0}, {2000, 0.0}, {4000, 0.9}};
  for (const auto& [band_hz, absorption] : table) {
    const std::vector<double> beta =
        absorption_admittance(table, {std::nextafter(band_hz, 0.0), band_hz, std::nextafter(band_hz, 1e9)});
    EXPECT_NEAR(beta[0], beta[1], 1e-14) << band_hz;
    EXPECT_NEAR(beta[2], beta[1], 1e-14) << band_hz;
  }
}

TEST(AbsorptionTable, ABandOfZeroIsRigidAndDoesNotAffectItsNeighbours) {
  const AbsorptionTable table = {{125, 0.0}, {250, 0.2}, {500, 0.0}, {1000, 0.0}};
  const double geometric_mean = std::sqrt(125.0 * 250.0);
  const std::vector<double> beta =
      absorption_admittance(table, {60, 125, geometric_mean, 250, 500, 700, 8000});
  EXPECT_EQ(beta[0], 0.0);
  EXPECT_EQ(beta[1], 0.0);
  EXPECT_NEAR(beta[2], 0.5 * beta[3], 1e-15);
  EXPECT_GT(beta[3], 0.0);
  EXPECT_EQ(beta[4], 0.0);
  EXPECT_EQ(beta[5], 0.0);
  EXPECT_EQ(beta[6], 0.0);
}

TEST(AbsorptionTable, OfOneBandIsHeldAbove) {
  const std::vector<double> beta = absorption_admittance({{500, 0.3}}, {50, 500, 5000});
  EXPECT_NEAR(beta[0], 0.1 * beta[1], 1e-16);
  EXPECT_EQ(beta[2], beta[1]);
}

TEST(AbsorptionTable, RefusesInvalidTables) {
  EXPECT_THROW(absorption_admittance({}, {100}), std::invalid_argument);
  EXPECT_THROW(absorption_admittance({{0, 0.1}}, {100}), std::invalid_argument);
  EXPECT_THROW(absorption_admittance({{125, -0.1}}, {100}), std::invalid_argument);
  EXPECT_THROW(absorption_admittance({{125, 1.1}}, {100}), std::invalid_argument);
  EXPECT_THROW(absorption_admittance({{125, std::nan("")}}, {100}), std::invalid_argument);
}

}  // namespace
}  // namespace cabinfield
