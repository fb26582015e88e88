// Checks the closed-form box against published numbers and against itself.
#include "support/impedance_box.h"

#include <gtest/gtest.h>

#include <stdexcept>

#include "base/constants.h"
#include "support/wave_oracles.h"

namespace cabinfield::test {
namespace {

const Air air = air_with(343.0, 1.2);
const Vector3 size{2.0, 1.4, 1.1}, source{0.4, 0.3, 0.25}, ear{1.5, 1.0, 0.9};

// Computed independently (complex one-dimensional modes in x and y, closed form in z, converged to 1e-16; the
// class of problem of arXiv 2602.09594), pressures for 1e-3 m3/s. 1e-8: nine digits are printed.
TEST(ImpedanceBox, MatchesTheComputedBox) {
  struct Row {
    Complex beta;
    double frequency_hz;
    Complex pressure;
  };
  const Row rows[] = {
      {0.05, 60, {-6.03138202e-03, -2.59026052e-01}},
      {0.05, 120, {-4.22135684e-01, 7.17784323e-03}},
      {0.05, 240, {-1.18410219e-01, -1.24040172e-02}},
      {{0.05, 0.03}, 60, {-1.96932377e-02, -2.648942063e-01}},
      {{0.05, 0.03}, 120, {-4.186573241e-01, 2.490076094e-01}},
      {{0.05, 0.03}, 240, {-1.178179656e-01, -1.39145414e-02}},
      {{0.3, 0.5}, 60, {-6.29467328e-02, 6.948983e-03}},
      {{0.3, 0.5}, 120, {3.5743562e-03, 9.4041351e-03}},
      {{0.3, 0.5}, 240, {1.01954369e-02, 8.6607514e-03}},
  };
  for (const Row& row : rows) {
    const Complex pressure =
        1e-3 * impedance_box_pressure(size, row.beta, air, row.frequency_hz, source, ear);
    EXPECT_LT(std::abs(pressure - row.pressure), 1e-8 * std::abs(row.pressure) + 1e-11)
        << row.beta << " at " << row.frequency_hz << " Hz: " << pressure << " for " << row.pressure;
  }
}

// The axis of the closed form is a choice, which changes with the position of the ear. Swapping
// source and ear, or the axes of the box, changes nothing.
TEST(ImpedanceBox, IsIndependentOfTheClosedAxis) {
  const Complex beta{0.3, 0.5};
  const Complex pressure = impedance_box_pressure(size, beta, air, 170, source, ear);
  EXPECT_LT(std::abs(impedance_box_pressure(size, beta, air, 170, ear, source) - pressure),
            1e-11 * std::abs(pressure));
  // 0.70 m apart along two axes: rounding decides which is the longer one.
  const Vector3 level{1.1, 1.0, 0.9};
  const Complex along_x = impedance_box_pressure(size, beta, air, 170, source, level + Vector3(1e-9, 0, 0));
  const Complex along_y = impedance_box_pressure(size, beta, air, 170, source, level + Vector3(0, 1e-9, 0));
  EXPECT_LT(std::abs(along_x - along_y), 1e-7 * std::abs(along_x));
}

TEST(ImpedanceBox, IsAPressureVesselWithRigidWalls) {
  for (double frequency : {1.0, 2.0}) {
    const Complex vessel = vessel_pressure(size.prod(), air, frequency);
    const Complex box = impedance_box_pressure(size, 0.0, air, frequency, source, ear);
    // The first mode, 86 Hz, leaves the square of their ratio.
    EXPECT_LT(std::abs(box - vessel), 3 * frequency * frequency / (86 * 86) * std::abs(vessel));
  }
}

// Sum over all modes of the rigid box up to 6 kHz (Morse & Ingard, section 9.5); the remainder is a
// thousandth.
TEST(ImpedanceBox, IsTheModalSumWithRigidWalls) {
  for (double frequency : {30.0, 100.0, 200.0}) {
    const Complex sum = rigid_box_pressure(size, air, frequency, source, ear, 6000);
    const Complex box = impedance_box_pressure(size, 0.0, air, frequency, source, ear);
    EXPECT_LT(std::abs(sum - box), 2e-3 * std::abs(box)) << frequency;
  }
}

TEST(ImpedanceBox, RootsSatisfyTheirEquationAtStrongWalls) {
  for (Complex wall : {Complex(0.1, 0), Complex(3, 4), Complex(0.01, 8), Complex(0.01, -8), Complex(20, 1)}) {
    const WallModes modes = wall_modes(1.4, wall, 25);
    ASSERT_EQ(modes.even.size(), 25U);
    ASSERT_EQ(modes.odd.size(), 25U);
    for (Complex square : modes.even) {
      const Complex kappa = std::sqrt(square);
      EXPECT_LT(std::abs(kappa * std::tan(0.7 * kappa) - Complex(0, 1) * wall),
                1e-9 * (1 + std::abs(kappa * wall)));
    }
    for (Complex square : modes.odd) {
      const Complex kappa = std::sqrt(square);
      EXPECT_LT(std::abs(kappa / std::tan(0.7 * kappa) + Complex(0, 1) * wall),
                1e-9 * (1 + std::abs(kappa * wall)));
    }
  }
}

TEST(ImpedanceBox, NeedsSourceAndEarApart) {
  EXPECT_THROW(impedance_box_pressure(size, 0.05, air, 100, source, source), std::invalid_argument);
}

}  // namespace
}  // namespace cabinfield::test
