#include "material/material.h"

#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>

#include "base/constants.h"

namespace cabinfield {
namespace {

const Air air = air_with(343.0, 1.2);

// Bies, Hansen & Howard, Engineering Noise Control, 5th edition, Table 6.2 (building data), 125 Hz to 4 kHz.
const AbsorptionTable window = {{125, .35}, {250, .25}, {500, .18}, {1000, .12}, {2000, .07}, {4000, .04}};
const AbsorptionTable carpet = {{125, .08}, {250, .24}, {500, .57}, {1000, .69}, {2000, .71}, {4000, .73}};
const AbsorptionTable upholstered = {{125, .54},  {250, .62},  {500, .68},
                                     {1000, .70}, {2000, .68}, {4000, .66}};

Material of_impedance(Complex zeta) {
  Material material;
  material.specific_impedance = zeta;
  return material;
}

Material of_table(AbsorptionTable table) {
  Material material;
  material.absorption = std::move(table);
  return material;
}

TEST(Material, WithoutDataIsRigid) {
  const Material material;
  EXPECT_TRUE(material.rigid());
  EXPECT_TRUE(has_real_admittance(material));
  const std::vector<Complex> expected(2, Complex(0));
  EXPECT_EQ(specific_admittance(material, air, {10, 1000}), expected);
  EXPECT_EQ(reflection_factor(0.0, 0.3), Complex(1.0));
  EXPECT_TRUE(material_warnings(material, air).empty());
}

TEST(Material, InvertsASpecificImpedance) {
  const Complex beta = specific_admittance(of_impedance({20, -5}), air, {100})[0];
  EXPECT_NEAR(std::abs(beta - 1.0 / Complex(20, -5)), 0.0, 1e-17);
  EXPECT_FALSE(has_real_admittance(of_impedance({20, -5})));
  EXPECT_TRUE(has_real_admittance(of_impedance(20)));
  EXPECT_EQ(specific_admittance(of_impedance({0, 3}), air, {100})[0].real(), 0.0);
}

TEST(Material, AddsAdmittancesGivenTogether) {
  Material all = of_table(carpet);
  all.specific_impedance = Complex(30, 4);
  all.panel = Panel{8, 45, 0.2};
  Material panel_only;
  panel_only.panel = all.panel;
  const std::vector<double> frequencies = {10, 45, 400, 6000};
  const auto sum = specific_admittance(all, air, frequencies);
  const auto first = specific_admittance(of_impedance({30, 4}), air, frequencies);
  const auto second = specific_admittance(of_table(carpet), air, frequencies);
  const auto third = specific_admittance(panel_only, air, frequencies);
  for (std::size_t f = 0; f < frequencies.size(); ++f)
    EXPECT_NEAR(std::abs(sum[f] - (first[f] + second[f] + third[f])), 0.0, 1e-15);
  EXPECT_FALSE(has_real_admittance(panel_only));
  EXPECT_FALSE(all.rigid());
}

// Passive: the real part is never negative, so no reflection is stronger than the incident wave.
TEST(Material, IsPassive) {
  Material all = of_table(upholstered);
  all.specific_impedance = Complex(0, -2);
  all.panel = Panel{6, 30, 0.02};
  std::vector<double> frequencies;
  for (double frequency = 0.5; frequency < 21000; frequency *= 1.07) frequencies.push_back(frequency);
  for (const Material& material :
       {all, of_table(window), of_table({{125, 0}, {250, 1}}), of_impedance({0, 1e-3})})
    for (Complex beta : specific_admittance(material, air, frequencies)) {
      EXPECT_GE(beta.real(), 0.0);
      for (double cosine : {0.01, 0.3, 1.0})
        EXPECT_LE(std::abs(reflection_factor(beta, cosine)), 1.0 + 1e-15);
    }
}

TEST(Material, ReflectsByThePlaneWaveFormula) {
  // (zeta cos - 1)/(zeta cos + 1), e.g. Kuttruff, Room Acoustics, section 2.3.
  const Complex zeta(8, 3);
  const Complex expected = (zeta * 0.5 - 1.0) / (zeta * 0.5 + 1.0);
  EXPECT_NEAR(std::abs(reflection_factor(1.0 / zeta, 0.5) - expected), 0.0, 1e-15);
}

// Closed cabin far below its first mode: p over that of the rigid cabin is 1/(1 + c sum(beta S)/(j omega V)).
double pressure_gain_db(const std::vector<std::pair<Material, double>>& material_and_area_m2,
                        double volume_m3, double frequency_hz) {
  Complex flow = 0;
  for (const auto& [material, area_m2] : material_and_area_m2)
    flow += specific_admittance(material, air, {frequency_hz})[0] * area_m2;
  const Complex ratio = 1.0 + air.sound_speed_m_s * flow / Complex(0, 2.0 * pi * frequency_hz * volume_m3);
  return -20.0 * std::log10(std::abs(ratio));
}

// A furnished saloon of 3.35 m3 (invented areas): carpet, glass, trim and seats. The tables have no data
// below 125 Hz; the limit of 1 dB is a requirement on the continuation, which a constant impedance misses by
// far.
TEST(Material, TablesKeepThePressureGainOfAClosedCabin) {
  const AbsorptionTable trim = {{125, .25}, {250, .3}, {500, .35}, {1000, .4}, {2000, .4}, {4000, .4}};
  const std::vector<std::pair<Material, double>> furnished = {
      {of_table(carpet), 4.5}, {of_table(window), 4.0}, {of_table(trim), 6.0}, {of_table(upholstered), 8.0}};
  for (double frequency : {1.0, 5.0, 10.0, 20.0, 40.0})
    EXPECT_NEAR(pressure_gain_db(furnished, 3.35, frequency), 0.0, 1.0) << frequency;
  EXPECT_LT(pressure_gain_db({{of_impedance(13), 22.5}}, 3.35, 10.0), -9.0);
}

TEST(Material, CornerOfAConstantImpedanceIsAtMinusThreeDecibels) {
  const double corner = pressure_gain_corner_hz(1.0 / 13.0, 22.5, 3.35, air);
  EXPECT_NEAR(pressure_gain_db({{of_impedance(13), 22.5}}, 3.35, corner), -10.0 * std::log10(2.0), 1e-12);
}

TEST(Material, WarnsOfAConstantImpedanceAndStatesItsCorner) {
  const auto warnings = material_warnings(of_impedance(20), air);
  ASSERT_EQ(warnings.size(), 1u);
  EXPECT_NE(warnings[0].find("2.73 Hz"), std::string::npos) << warnings[0];  // 343/(2 pi 20)
  EXPECT_TRUE(material_warnings(of_impedance({0, -4}), air).empty());
}

TEST(Material, WarnsOfAbsorptionBeyondAnyRealImpedance) {
  const auto warnings = material_warnings(of_table({{500, 0.9}, {1000, 0.97}, {2000, 1.0}}), air);
  ASSERT_EQ(warnings.size(), 2u);
  EXPECT_NE(warnings[0].find("0.97 at 1000 Hz"), std::string::npos) << warnings[0];
  EXPECT_NE(warnings[0].find("0.95122"), std::string::npos) << warnings[0];
  EXPECT_TRUE(material_warnings(of_table(carpet), air).empty());
}

TEST(Material, RefusesInvalidImpedances) {
  for (const Complex& zeta : {Complex(0, 0), Complex(-1, 2), Complex(INFINITY, 0), Complex(NAN, 0)})
    EXPECT_THROW(specific_admittance(of_impedance(zeta), air, {100}), std::invalid_argument);
}

// A layer before a rigid back, as the faces of a porous block: 1/zeta of layer_specific_impedance, which has
// its own tests against the literature.
TEST(SpecificAdmittance, OfAPorousLayerIsTheInverseOfItsImpedance) {
  Material foam;
  foam.layer = PorousLayer{{"foam", "", 8000, 0.95, 1.4, {}, {}}, 0.12};
  EXPECT_FALSE(foam.rigid());
  EXPECT_FALSE(has_real_admittance(foam));
  const std::vector<double> frequency{20, 125, 500, 4000};
  const auto beta = specific_admittance(foam, air, frequency);
  const auto zeta = layer_specific_impedance(foam.layer->filling, 0.12, air, frequency);
  for (std::size_t f = 0; f < frequency.size(); ++f) {
    EXPECT_LT(std::abs(beta[f] * zeta[f] - 1.0), 1e-12);
    EXPECT_GT(beta[f].real(), 0);
  }
  // Air in pores before a rigid back: closed at rest.
  EXPECT_LT(std::abs(specific_admittance(foam, air, {0.0})[0]), 1e-4);
  // Large porosity and little resistance: beside the reactance, rounding must not make the resistance
  // negative.
  foam.layer = PorousLayer{{"thin", "", 10, 1, 1, {}, {}}, 0.001};
  for (const Complex& value : specific_admittance(foam, air, {0.0, 1.0, 10.0})) EXPECT_GE(value.real(), 0);
}

// A sheet between two half-spaces of air, plane wave at normal incidence: reflection z/(2 + z), and through a
// limp mass the mass law 1/(1 + (omega m/(2 rho c))^2) (Cremer, Heckl & Petersson, Structure-Borne Sound;
// Fahy & Gardonio, Sound and Structural Vibration, section 5.2).
TEST(SpecificAdmittance, OfASheetWithAirBehindGivesTheMassLaw) {
  const double mass = 2.5, resonance_hz = 0.5;
  Material plate;
  plate.sheet = TransferImpedance{Panel{mass, resonance_hz, 1e-6}, {}};
  EXPECT_FALSE(plate.rigid());
  for (const double frequency : {100.0, 400.0, 3000.0}) {
    const Complex beta = specific_admittance(plate, air, {frequency})[0];
    const double reflected = std::norm(reflection_factor(beta, 1.0));
    const double omega = 2 * pi * frequency, stiff = std::pow(resonance_hz / frequency, 2);
    const double reactance = omega * mass * (1 - stiff) / air.characteristic_impedance();
    EXPECT_NEAR(1 - reflected, 1 / (1 + 0.25 * reactance * reactance), 1e-7) << frequency;
  }
  plate.sheet = TransferImpedance{};
  EXPECT_TRUE(plate.rigid());
  EXPECT_TRUE(has_real_admittance(plate));
  EXPECT_EQ(specific_admittance(plate, air, {100.0})[0], Complex(0));
}

}  // namespace
}  // namespace cabinfield
