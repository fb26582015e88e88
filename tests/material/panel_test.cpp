#include "material/panel.h"

#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>

#include "base/constants.h"

namespace cabinfield {
namespace {

const Air air = air_with(343.0, 1.2);
const Panel panel{8.0, 45.0, 0.2};

TEST(Panel, IsTheSeriesCircuitOfMassResistanceAndStiffness) {
  const double omega0 = 2.0 * pi * 45.0;
  for (double frequency : {1.0, 20.0, 44.0, 46.0, 300.0, 5000.0}) {
    const double omega = 2.0 * pi * frequency;
    const Complex j(0, 1);
    const Complex impedance = j * omega * 8.0 + 0.2 * 8.0 * omega0 + 8.0 * omega0 * omega0 / (j * omega);
    const Complex expected = 343.0 * 1.2 / impedance;
    EXPECT_NEAR(std::abs(panel_admittance(panel, air, frequency) - expected), 0.0, 1e-12 * std::abs(expected))
        << frequency;
  }
}

TEST(Panel, IsResistiveAtResonanceASpringBelowAndAMassAbove) {
  const Complex at = panel_admittance(panel, air, 45.0);
  EXPECT_NEAR(at.real(), 343.0 * 1.2 / (0.2 * 8.0 * 2.0 * pi * 45.0), 1e-12);
  EXPECT_EQ(at.imag(), 0.0);
  EXPECT_GT(panel_admittance(panel, air, 20.0).imag(), 0.0);
  EXPECT_LT(panel_admittance(panel, air, 90.0).imag(), 0.0);
  EXPECT_EQ(panel_admittance(panel, air, 0.0), Complex(0.0));
}

// Half-power width: Q = 1/loss factor, the definition of the loss factor (Cremer, Heckl & Petersson,
// Structure-Borne Sound).
TEST(Panel, HasTheBandwidthOfItsLossFactor) {
  const double half_width = 0.5 * 0.2;
  const double upper = 45.0 * (std::sqrt(1.0 + half_width * half_width) + half_width);
  const double lower = 45.0 * (std::sqrt(1.0 + half_width * half_width) - half_width);
  const double peak = std::norm(panel_admittance(panel, air, 45.0));
  EXPECT_NEAR(std::norm(panel_admittance(panel, air, upper)), 0.5 * peak, 1e-12 * peak);
  EXPECT_NEAR(std::norm(panel_admittance(panel, air, lower)), 0.5 * peak, 1e-12 * peak);
}

// Mass law for normal incidence with air on both sides, in its engineering form R = 20 lg(m f) - 42 dB (Bies,
// Hansen & Howard, Engineering Noise Control, chapter on sound transmission; quoted from memory). 0.5 dB: the
// 42 is rounded.
TEST(Panel, FollowsTheMassLawFarAboveResonance) {
  const Panel sheet{10.0, 1.0, 1e-3};
  const Complex beta = panel_admittance(sheet, air, 500.0);
  // Half the pressure in front over the pressure behind: 1 + Z_panel/(2 rho c).
  const double reduction_db = 20.0 * std::log10(std::abs(1.0 + 0.5 / beta));
  EXPECT_NEAR(reduction_db, 20.0 * std::log10(10.0 * 500.0) - 42.0, 0.5);
}

TEST(Panel, IsPassive) {
  for (double loss : {1e-6, 0.01, 0.5, 3.0})
    for (double resonance : {0.5, 20.0, 45.0, 200.0})
      for (double frequency = 1; frequency < 21000; frequency *= 1.1)
        EXPECT_GE(panel_admittance({6.0, resonance, loss}, air, frequency).real(), 0.0);
}

TEST(Panel, RefusesInvalidPanels) {
  EXPECT_THROW(panel_admittance({0, 45, 0.2}, air, 100), std::invalid_argument);
  EXPECT_THROW(panel_admittance({8, 0, 0.2}, air, 100), std::invalid_argument);
  EXPECT_THROW(panel_admittance({8, 45, 0}, air, 100), std::invalid_argument);
}

}  // namespace
}  // namespace cabinfield
