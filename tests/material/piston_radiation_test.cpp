#include "material/piston_radiation.h"

#include <gtest/gtest.h>

#include "base/constants.h"

namespace cabinfield {
namespace {

// Beranek & Mellow, table 13.7, by 2ka. Tolerance: half of the last printed digit.
TEST(PistonRadiation, MatchesTheTable) {
  const double rows[][3] = {{0.1, 0.001249, 0.042413}, {1, 0.119899, 0.396915}, {10, 0.991305, 0.178366}};
  for (const auto& row : rows) {
    EXPECT_NEAR(piston_radiation(row[0] / 2).real(), row[1], 0.5e-6);
    EXPECT_NEAR(piston_radiation(row[0] / 2).imag(), row[2], 0.5e-6);
  }
}

// Computed with scipy.special.j1 and scipy.special.struve.
TEST(PistonRadiation, MatchesALibrary) {
  EXPECT_NEAR(std::abs(piston_radiation(8.5) - Complex(1.01149041091268, 0.09482421708731267)), 0, 1e-6);
  EXPECT_NEAR(std::abs(piston_radiation(20) - Complex(0.9936980840981208, 0.031561170735588215)), 0, 1e-9);
}

TEST(PistonRadiation, IsContinuousBetweenItsTwoForms) {
  const Complex below = piston_radiation(8.0);
  const Complex above = piston_radiation(8.0 + 1e-9);
  EXPECT_NEAR(std::abs(above - below), 0, 1e-6);
}

TEST(PistonRadiation, IsAMassWithLittleLossAtLowFrequency) {
  const Complex radiation = piston_radiation(1e-4);
  EXPECT_NEAR(radiation.imag(), 8e-4 / (3 * pi), 1e-11);
  EXPECT_NEAR(radiation.real(), 0.5e-8, 1e-15);
  EXPECT_EQ(piston_radiation(0), Complex(0));
}

}  // namespace
}  // namespace cabinfield
