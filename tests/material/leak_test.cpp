#include "material/leak.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <stdexcept>

#include "base/constants.h"

namespace cabinfield {
namespace {

const Air air = air_at({});

Complex impedance(const Leak& leak, double frequency, LeakMouth mouth = LeakMouth::smeared) {
  return 1.0 / leak_admittance_m3_s_pa(leak, air, frequency, mouth);
}

// The mass of a duct with two flanged ends, rho (L + 2 8/(3 pi) a)/S (Beranek & Mellow; Kinsler & others,
// Fundamentals of Acoustics, section 10.8). 1 %: the boundary layer adds sqrt(2 eta/(rho omega))/a = 0.6 %.
TEST(Leak, IsTheMassOfADuctWithTwoFlangedEnds) {
  const Leak vent{0.012, 0.030};
  const double radius = std::sqrt(0.012 / pi);
  for (double frequency : {10.0, 20.0, 40.0}) {
    const double mass = impedance(vent, frequency).imag() / (2 * pi * frequency);
    const double expected = air.density_kg_m3 * (0.030 + 16 / (3 * pi) * radius) / 0.012;
    EXPECT_NEAR(mass, expected, 0.013 * expected) << frequency;
    const double resolved = impedance(vent, frequency, LeakMouth::resolved).imag() / (2 * pi * frequency);
    EXPECT_NEAR(mass - resolved, air.density_kg_m3 * 8 / (3 * pi) * radius / 0.012, 1e-6 * mass) << frequency;
  }
}

// Poiseuille: 8 eta L/(pi a^4), and each rim one radius of tube more.
TEST(Leak, ResistsSteadyFlowThroughANarrowTube) {
  const double radius = 0.2e-3;
  const Leak hole{pi * radius * radius, 0.05};
  const double expected =
      8 * viscosity_pa_s(air.conditions) * (0.05 + 2 * radius) / (pi * std::pow(radius, 4));
  EXPECT_NEAR(impedance(hole, 0.5).real(), expected, 1e-3 * expected);
}

// Boundary layer of a wide tube: sqrt(2 eta rho omega)/a per length and velocity (Kirchhoff; Ingard 1953),
// over L + 2a; and the radiation of a small opening in a plane, rho omega^2/(2 pi c). 5 %: radius over
// boundary layer is 35.
TEST(Leak, LosesPowerToItsWallsAndByRadiation) {
  const double frequency = 100;
  const double omega = 2 * pi * frequency;
  const double radius = 7.7e-3;
  const double area = pi * radius * radius;
  const double friction = std::sqrt(2 * viscosity_pa_s(air.conditions) * air.density_kg_m3 * omega) / radius *
                          (0.1 + 2 * radius) / area;
  const double radiation = air.density_kg_m3 * omega * omega / (2 * pi * air.sound_speed_m_s);
  EXPECT_NEAR(impedance({area, 0.1}, frequency).real(), friction + radiation, 0.05 * (friction + radiation));
  // A wide short one: radiation dominates, and the friction is at its rims.
  const double wide = pi * 0.01;
  const double at_rims = std::sqrt(2 * viscosity_pa_s(air.conditions) * air.density_kg_m3 * omega) * 2 / wide;
  EXPECT_NEAR(impedance({wide, 0}, frequency).real(), at_rims + radiation, 0.02 * (at_rims + radiation));
  EXPECT_GT(radiation, 5 * at_rims);
}

// A long duct is a transmission line, open at the outside: its admittance is least where length and outer end
// correction are half a wavelength less the inner one, and largest a quarter wavelength before that. Lossless
// to first order: tan(k(L + d)) = infinite at the least.
TEST(Leak, OfALongDuctIsATransmissionLine) {
  const double radius = 0.02;
  const double outer_end = 8 / (3 * pi) * radius;
  const double quarter = air.sound_speed_m_s / (4 * (0.5 + outer_end));
  double least = 1e9, at = 0;
  for (double frequency = 0.8 * quarter; frequency < 1.2 * quarter; frequency += 0.05) {
    const double taken =
        std::abs(leak_admittance_m3_s_pa({pi * radius * radius, 0.5}, air, frequency, LeakMouth::resolved));
    if (taken < least) {
      least = taken;
      at = frequency;
    }
  }
  // 1 %: the boundary layer slows the wave by half of 0.3 mm over 20 mm.
  EXPECT_NEAR(at, quarter, 0.01 * quarter);
}

TEST(Leak, IsPassive) {
  std::mt19937 random(7);
  const auto between = [&](double low, double high) {
    return low * std::pow(high / low, std::uniform_real_distribution<double>(0, 1)(random));
  };
  for (int trial = 0; trial < 300; ++trial) {
    const Leak leak{between(1e-7, 1), trial % 5 ? between(1e-4, 1) : 0.0};
    for (double frequency = 1; frequency < 20000; frequency *= 1.3)
      for (LeakMouth mouth : {LeakMouth::smeared, LeakMouth::resolved}) {
        const Complex admittance = leak_admittance_m3_s_pa(leak, air, frequency, mouth);
        EXPECT_GT(admittance.real(), 0) << leak.area_m2 << " " << leak.depth_m << " " << frequency;
        EXPECT_TRUE(std::isfinite(admittance.imag()));
      }
  }
}

TEST(Leak, RefusesInvalidLeaks) {
  EXPECT_THROW(leak_admittance_m3_s_pa({0, 0.1}, air, 100), std::invalid_argument);
  EXPECT_THROW(leak_admittance_m3_s_pa({1e-3, -0.1}, air, 100), std::invalid_argument);
  EXPECT_THROW(leak_admittance_m3_s_pa({1e-3, 0.1}, air, 0), std::invalid_argument);
  EXPECT_THROW(leak_admittance_m3_s_pa({std::nan(""), 0.1}, air, 100), std::invalid_argument);
}

}  // namespace
}  // namespace cabinfield
