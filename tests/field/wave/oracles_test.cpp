// Checks the reference solutions of the wave-field tests against published numbers and against each other.
#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>

#include "base/constants.h"
#include "material/filling.h"
#include "material/leak.h"
#include "support/impedance_box.h"
#include "support/layered_duct.h"
#include "support/plate_opening.h"
#include "support/wave_oracles.h"

namespace cabinfield::test {
namespace {

const Air air = air_with(343.0, 1.2);
const Complex j{0, 1};

LayeredDuct duct_of(std::vector<DuctLayer> layers, Complex front = 0, Complex back = 0) {
  return {0.3, 0.2, std::move(layers), front, back};
}

// Handbook for Sound Engineers, table 6-4: rigid room of 16 x 12 x 8 ft, c 1130 ft/s, axial modes.
TEST(Oracles, RigidModesMatchTheHandbookRoom) {
  const double foot = 0.3048;
  const auto modes = rigid_box_modes(Vector3(16, 12, 8) * foot, air_with(1130 * foot, 1.2), 60);
  for (double axial : {35.31, 70.63, 105.94, 47.08, 94.17, 141.25}) {
    double nearest = 1e9;
    for (double mode : modes) nearest = std::min(nearest, std::abs(mode - axial));
    EXPECT_LT(nearest, 0.0051) << axial;
  }
  EXPECT_NEAR(modes[0], 35.31, 0.0051);
  EXPECT_NEAR(modes[1], 47.08, 0.0051);
  EXPECT_NEAR(modes[2], std::hypot(35.3125, 47.0833), 0.0051);
}

TEST(Oracles, RigidBoxIsAPressureVesselAtLowFrequencyAndResonatesAtItsModes) {
  const Vector3 size{2.0, 1.4, 1.1}, source{0.4, 0.3, 0.25}, ear{1.5, 1.0, 0.9};
  const Complex vessel = vessel_pressure(size.prod(), air, 0.5);
  EXPECT_LT(std::abs(rigid_box_pressure(size, air, 0.5, source, ear, 3000) - vessel),
            1e-3 * std::abs(vessel));
  const double mode = rigid_box_modes(size, air, 1)[0];
  EXPECT_GT(std::abs(rigid_box_pressure(size, air, mode * 1.0001, source, ear, 3000)),
            100 * std::abs(rigid_box_pressure(size, air, mode * 1.1, source, ear, 3000)));
}

// Third and fourth modes have a node line along each square's edge: exactly pi^2.
TEST(Oracles, SquareWavenumbersOfTheLRise) {
  EXPECT_NEAR(l_shape_square_wavenumbers[2], pi * pi, 1e-11);
  EXPECT_TRUE(std::is_sorted(l_shape_square_wavenumbers.begin(), l_shape_square_wavenumbers.end()));
}

TEST(Oracles, MassAndVolumeResonateAsHelmholtzResonator) {
  const double mass = duct_mass_kg_m4(0.012, 0.03, air);
  EXPECT_NEAR(mass, 1.2 * (0.03 + 1.69765 * 0.0618039) / 0.012, 1e-4 * mass);
  const double frequency = helmholtz_hz(3.0, mass, air);
  const double omega = 2 * pi * frequency;
  // Spring and mass cancel.
  EXPECT_NEAR(vessel_pressure(3.0, air, frequency).imag() + omega * mass, 0, 1e-9 * omega * mass);
}

// Heavy mass: the volume's spring and a third of its air. No mass: a quarter wave. In between: where the
// driven duct with that admittance on its end peaks.
TEST(Oracles, HelmholtzInADuctHasTheRightLimits) {
  const double length = 2.0, section = 1.5;
  const double own = 1.2 * length / section;
  for (double ratio : {30.0, 300.0}) {
    const double exact = helmholtz_in_duct_hz(length, section, ratio * own, air);
    EXPECT_NEAR(exact, helmholtz_hz(length * section, ratio * own + own / 3, air),
                exact * 0.1 / (ratio * ratio));
  }
  EXPECT_NEAR(helmholtz_in_duct_hz(length, section, 1e-9, air), 343.0 / (4 * length), 1e-4);
  const double mass = 2 * own;
  const auto level = [&](double frequency) {
    LayeredDuct duct{1.0, section, {air_layer(length, air)}};
    // With a little loss, so that there is a peak.
    duct.back_admittance =
        air.characteristic_impedance() / (j * (2 * pi * frequency) * mass * section + 0.01);
    return std::abs(layered_duct_plane_pressure(duct, air, frequency, 0, 0));
  };
  const double exact = helmholtz_in_duct_hz(length, section, mass, air);
  EXPECT_NEAR(peak_hz(level, 0.9 * exact, 1.1 * exact), exact, 1e-5 * exact);
}

// A leak of the engine on a whole wall, with friction and radiation: its peak is at the frequency of the mass
// alone, except for the boundary layer (1.2 % of the mass at 9 Hz) and the damping. 1 %.
TEST(Oracles, LeakAndDuctResonateAtTheFrequencyOfTheMass) {
  const Leak leak{0.012, 0.03};
  const double length = 2.0, section = 1.5;
  const auto level = [&](double frequency) {
    LayeredDuct duct{1.0, section, {air_layer(length, air)}};
    duct.back_admittance =
        air.characteristic_impedance() * leak_admittance_m3_s_pa(leak, air, frequency) / section;
    return std::abs(layered_duct_plane_pressure(duct, air, frequency, 0, 0));
  };
  const double exact = helmholtz_in_duct_hz(length, section, duct_mass_kg_m4(0.012, 0.03, air), air);
  EXPECT_NEAR(peak_hz(level, 0.8 * exact, 1.2 * exact), exact, 0.01 * exact);
}

TEST(Oracles, PanelAndDuctResonateTogether) {
  const Panel panel{6.0, 60.0, 0.05};
  const double length = 1.5;
  const auto resonances = panel_duct_resonances(length, panel, air, 400);
  // Three of the duct alone below 400 Hz and one of the panel.
  ASSERT_EQ(resonances.size(), 4U);
  for (Complex f : resonances) {
    EXPECT_GT(f.imag(), 0);
    const Complex omega = 2 * pi * f;
    const Complex impedance =
        j * omega * 6.0 + 0.05 * 6.0 * 2.0 * pi * 60.0 + 6.0 * std::pow(2 * pi * 60.0, 2) / (j * omega);
    const Complex beta = air.characteristic_impedance() / impedance;
    EXPECT_LT(std::abs(std::tan(omega * length / 343.0) - j * beta), 1e-8);
    // The driven duct peaks near each (within the square of its damping), as wide as the imaginary part says.
    const auto level = [&](double frequency) {
      LayeredDuct duct{1.0, 1.0, {air_layer(length, air)}};
      duct.back_admittance = panel_admittance(panel, air, frequency);
      return std::abs(layered_duct_plane_pressure(duct, air, frequency, 0, 0));
    };
    const double span = std::max(3 * f.imag(), 0.5);
    EXPECT_NEAR(peak_hz(level, f.real() - span, f.real() + span), f.real(), 0.05 * f.imag() + 1e-3);
  }
}

// A short duct is only a spring: omega^2 = (s + rho c^2/L)/m (Fahy & Gardonio, Sound and Structural
// Vibration, on a panel before a shallow cavity). A very heavy panel is a wall: c/(2 L), c/L.
TEST(Oracles, PanelAndDuctHaveTheRightLimits) {
  const Panel panel{8.0, 45.0, 1e-3};
  const double length = 0.05;
  const double omega = std::sqrt(std::pow(2 * pi * 45.0, 2) + 1.2 * 343.0 * 343.0 / length / 8.0);
  const auto spring = panel_duct_resonances(length, panel, air, 400);
  ASSERT_EQ(spring.size(), 1U);
  // The air's own mass: a third of 0.06 kg against 8 kg.
  EXPECT_NEAR(2 * pi * spring[0].real(), omega, omega * 0.06 / 3 / 8);
  const auto wall = panel_duct_resonances(1.5, {1e5, 10.0, 1e-3}, air, 300);
  ASSERT_EQ(wall.size(), 3U);
  EXPECT_NEAR(wall[0].real(), 10.0, 0.02);
  EXPECT_NEAR(wall[1].real(), 343.0 / 3, 1e-3);
  EXPECT_NEAR(wall[2].real(), 343.0 / 1.5, 1e-3);
  EXPECT_THROW(panel_duct_resonances(1.5, {8, 45, 2.5}, air, 300), std::invalid_argument);
}

TEST(LayeredDuct, WithoutEndsCarriesThePlaneWave) {
  const LayeredDuct duct = duct_of({air_layer(3.0, air)}, 1, 1);
  for (double frequency : {50.0, 300.0}) {
    const Complex expected =
        air.characteristic_impedance() / (2 * 0.06) * std::exp(-j * (2 * pi * frequency / 343.0) * 1.5);
    EXPECT_LT(std::abs(layered_duct_plane_pressure(duct, air, frequency, 0.7, 2.2) - expected), 1e-9);
    EXPECT_LT(std::abs(layered_duct_plane_pressure(duct, air, frequency, 2.2, 0.7) - expected), 1e-9);
    // Of a point source 1.5 m away what does not carry has died out: first cut-on 572 Hz.
    EXPECT_LT(
        std::abs(layered_duct_pressure(duct, air, frequency, {0.7, 0.1, 0.05}, {2.2, 0.2, 0.15}) - expected),
        1e-3 * std::abs(expected));
  }
}

// Two exact solutions that share only the modes of rigid walls.
TEST(LayeredDuct, WithRigidEndsIsTheRigidBox) {
  const Vector3 source{0.2, 0.05, 0.04}, ear{0.9, 0.25, 0.11};
  const LayeredDuct duct = duct_of({air_layer(0.5, air), air_layer(0.6, air)});
  for (double frequency : {20.0, 250.0, 700.0}) {
    const Complex box = impedance_box_pressure({1.1, 0.3, 0.2}, 0.0, air, frequency, source, ear);
    EXPECT_LT(std::abs(layered_duct_pressure(duct, air, frequency, source, ear) - box), 1e-9 * std::abs(box))
        << frequency;
  }
  const Complex vessel = vessel_pressure(1.1 * 0.06, air, 0.1);
  EXPECT_LT(std::abs(layered_duct_pressure(duct, air, 0.1, source, ear) - vessel), 1e-5 * std::abs(vessel));
}

TEST(LayeredDuct, TransmitsPlaneWavesThroughAPartition) {
  for (double frequency : {40.0, 150.0})
    for (Complex sheet : {Complex(0, 2000), Complex(300, -500), Complex(412, 0)}) {
      const LayeredDuct open = duct_of({air_layer(1.0, air), air_layer(1.0, air)}, 1, 1);
      const LayeredDuct shut = duct_of({air_layer(1.0, air, sheet), air_layer(1.0, air)}, 1, 1);
      const Complex through = layered_duct_plane_pressure(shut, air, frequency, 0.3, 1.6) /
                              layered_duct_plane_pressure(open, air, frequency, 0.3, 1.6);
      EXPECT_LT(std::abs(through - partition_transmission(sheet, air)), 1e-12);
    }
}

TEST(LayeredDuct, IsReciprocalThroughAllLayers) {
  const DuctLayer foam{0.2, {2.0, -15.0}, {1.1e5, 0.1e5}, {20, 5}};
  const LayeredDuct duct =
      duct_of({air_layer(0.6, air, {50, 300}), foam, air_layer(0.4, air)}, {0.1, 0.2}, 0.5);
  const Vector3 source{0.2, 0.05, 0.04}, ear{1.1, 0.25, 0.11}, within{0.7, 0.1, 0.1};
  for (const Vector3& other : {ear, within}) {
    const Complex there = layered_duct_pressure(duct, air, 200, source, other);
    EXPECT_LT(std::abs(there - layered_duct_pressure(duct, air, 200, other, source)),
              1e-12 * std::abs(there));
  }
}

// A layer split in two equals the whole layer, and a sheet of zero impedance has no effect.
TEST(LayeredDuct, IsUnchangedByAnArtificialCut) {
  const DuctLayer foam{0.2, {2.0, -15.0}, {1.1e5, 0.1e5}};
  DuctLayer half = foam;
  half.length_m = 0.1;
  const LayeredDuct whole = duct_of({air_layer(0.6, air, {50, 300}), foam}, 0.1);
  const LayeredDuct cut = duct_of({air_layer(0.25, air), air_layer(0.35, air, {50, 300}), half, half}, 0.1);
  const Vector3 source{0.1, 0.05, 0.04};
  for (const Vector3& ear : {Vector3(0.5, 0.25, 0.11), Vector3(0.75, 0.2, 0.1)}) {
    const Complex expected = layered_duct_pressure(whole, air, 200, source, ear);
    EXPECT_LT(std::abs(layered_duct_pressure(cut, air, 200, source, ear) - expected),
              1e-11 * std::abs(expected));
    EXPECT_LT(std::abs(layered_duct_pressure(cut, air, 200, ear, source) - expected),
              1e-11 * std::abs(expected));
  }
}

// The reflection that two microphones see before a porous end is that of the layer's surface impedance.
TEST(LayeredDuct, MatchesTheImpedanceTubeForAPorousEnd) {
  Filling foam;
  foam.flow_resistivity_pa_s_m2 = 8000;
  for (double frequency : {50.0, 125.0, 300.0}) {
    const EquivalentFluid fluid = equivalent_fluid(foam, air, {frequency});
    const LayeredDuct duct =
        duct_of({air_layer(1.0, air), {0.1, fluid.density_kg_m3[0], fluid.bulk_modulus_pa[0]}}, 1);
    const Complex reflection = two_point_reflection(
        layered_duct_plane_pressure(duct, air, frequency, 0.1, 0.5),
        layered_duct_plane_pressure(duct, air, frequency, 0.1, 0.8), 0.5, 0.2, 2 * pi * frequency / 343.0);
    const Complex impedance = layer_specific_impedance(foam, 0.1, air, {frequency})[0];
    EXPECT_LT(std::abs(reflection - (impedance - 1.0) / (impedance + 1.0)), 1e-11) << frequency;
  }
}

TEST(LayeredDuct, NeedsSourceAndEarApart) {
  EXPECT_THROW(layered_duct_pressure(duct_of({air_layer(1, air)}), air, 100, {0.5, 0, 0}, {0.52, 0.2, 0}),
               std::invalid_argument);
}

// Far from all walls the conductivity of a hole, S/l, is pi times the capacity of a plate of its shape over 4
// pi epsilon0, 0.3667896 for a square of unit side (Hwang & Mascagni, J. Appl. Phys. 95 (2004) 3798, from
// memory). Walls act in first order of the ratio of sides, so two ratios give the limit; 0.5 %: the third
// order at 0.2.
TEST(PlateOpening, OfASmallSquareHasTheConductivityOfAnElectrifiedPlate) {
  const auto resistance = [](double side) {
    return side * rectangular_opening_length_m({1, 1, 0.5, 0.5, side, side});
  };
  const double conductivity = 1 / (2 * resistance(0.1) - resistance(0.2));
  EXPECT_NEAR(conductivity, pi * 0.3667896, 0.005 * pi * 0.3667896);
}

// A square hole conducts 1.021 times a round one of its area when small (the same source); in ducts of equal
// area 1.5 % more by the shape of the walls where it is half as wide.
TEST(PlateOpening, SquareAndRoundAgree) {
  for (double side : {0.1, 0.3, 0.5}) {
    const double square = rectangular_opening_length_m({1, 1, 0.5, 0.5, side, side});
    const double round = round_hole_length_m(2 * side / std::sqrt(pi), 2 / std::sqrt(pi));
    EXPECT_NEAR(round / square, 1.021, 0.02) << side;
  }
}

// Fok's function falls as 1 - 1.41 x for small holes; Ingard (J. Acoust. Soc. Am. 25 (1953) 1037) gives 1
// - 1.25 x for a piston in a tube. A hole as wide as the duct is none: the polynomial ends at -0.012.
TEST(PlateOpening, FokFunctionHasTheRightLimits) {
  EXPECT_NEAR(round_hole_length_m(0.01, 1.0), (1 / 0.0001) * pi / 4 * 0.01 * (1 - 0.014092), 1e-3);
  EXPECT_NEAR(round_hole_length_m(1.0, 1.0), 0, 0.013 * pi / 4);
}

// The window from wall to wall, approached by one that leaves half a percent of the width. 1 %: rims of the
// narrow ends.
TEST(PlateOpening, WideOpeningIsASlit) {
  const double wide = rectangular_opening_length_m({1, 0.5, 0.5, 0.25, 0.995, 0.2});
  EXPECT_NEAR(wide, slit_in_middle_length_m(0.2, 0.5), 0.01 * wide);
  EXPECT_NEAR(slit_at_side_length_m(0.1, 0.25), slit_in_middle_length_m(0.2, 0.5), 1e-15);
}

// Images: a quarter of an opening in the corner of a quarter of a duct, and an opening at a wall.
TEST(PlateOpening, HasMirrorSymmetry) {
  const double whole = rectangular_opening_length_m({1, 0.8, 0.5, 0.4, 0.3, 0.24});
  const double two = rectangular_opening_length_m({2, 0.8, 0.5, 0.4, 0.3, 0.24});
  // Beside a closed half the duct is as if narrowed from twice: more than alone.
  EXPECT_GT(two, 2 * whole);
  EXPECT_NEAR(rectangular_opening_length_m({1, 0.8, 0.4, 0.3, 0.3, 0.24}),
              rectangular_opening_length_m({1, 0.8, 0.6, 0.5, 0.3, 0.24}), 1e-9);
  // Nearer to cut-on it weighs more.
  EXPECT_GT(rectangular_opening_length_m({1, 0.8, 0.5, 0.4, 0.3, 0.24}, 2.0), whole);
  EXPECT_THROW(rectangular_opening_length_m({1, 0.8, 0.5, 0.4, 0.3, 0.24}, 4.0), std::invalid_argument);
}

}  // namespace
}  // namespace cabinfield::test
