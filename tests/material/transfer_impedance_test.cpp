#include "material/transfer_impedance.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <stdexcept>

#include "base/constants.h"

namespace cabinfield {
namespace {

const Air air = air_with(343.0, 1.2);
const Complex j{0, 1};
const Panel plate{8.0, 45.0, 0.2};

PorousSheet felt() {
  PorousSheet sheet;
  sheet.filling.flow_resistivity_pa_s_m2 = 20000;
  sheet.thickness_m = 0.01;
  return sheet;
}

TEST(TransferImpedance, OfAPanelHasItsMassResistanceAndStiffness) {
  const double omega0 = 2 * pi * 45.0;
  for (double frequency : {0.1, 10.0, 45.0, 46.0, 300.0, 5000.0}) {
    const double omega = 2 * pi * frequency;
    const Complex expected = j * omega * 8.0 + 0.2 * 8.0 * omega0 + 8.0 * omega0 * omega0 / (j * omega);
    TransferImpedance transfer_impedance;
    transfer_impedance.panel = plate;
    EXPECT_LT(std::abs(transfer_impedance_pa_s_m(transfer_impedance, air, frequency) - expected),
              1e-11 * std::abs(expected))
        << frequency;
  }
}

// Normal-incidence mass law, 20 lg(m f) - 42 dB (Bies, Hansen & Howard, Engineering Noise Control, from
// memory). 0.5 dB: the 42 is rounded.
TEST(TransferImpedance, OfAHeavyPanelFollowsTheMassLaw) {
  TransferImpedance transfer_impedance;
  transfer_impedance.panel = Panel{10.0, 1.0, 1e-3};
  const Complex jump =
      transfer_impedance_pa_s_m(transfer_impedance, air, 500) / air.characteristic_impedance();
  EXPECT_NEAR(20 * std::log10(std::abs(1.0 + jump / 2.0)), 20 * std::log10(10.0 * 500.0) - 42, 0.5);
}

TEST(TransferImpedance, OfAPorousSheetIsItsFlowResistanceAtLowFrequency) {
  TransferImpedance transfer_impedance;
  transfer_impedance.porous = felt();
  EXPECT_NEAR(transfer_impedance_pa_s_m(transfer_impedance, air, 1).real(), 200, 1e-3);
  EXPECT_NEAR(transfer_impedance_pa_s_m(transfer_impedance, air, 1).imag(), 0, 0.5);
  const Complex rho = equivalent_fluid(felt().filling, air, {400}).density_kg_m3[0];
  EXPECT_EQ(transfer_impedance_pa_s_m(transfer_impedance, air, 400), j * (2 * pi * 400) * rho * 0.01);
}

TEST(TransferImpedance, InSeriesAdd) {
  TransferImpedance panel, porous, both;
  panel.panel = both.panel = plate;
  porous.porous = both.porous = felt();
  for (double frequency : {20.0, 45.0, 300.0}) {
    const Complex sum =
        transfer_impedance_pa_s_m(panel, air, frequency) + transfer_impedance_pa_s_m(porous, air, frequency);
    EXPECT_LT(std::abs(transfer_impedance_pa_s_m(both, air, frequency) - sum), 1e-12 * std::abs(sum));
  }
}

TEST(TransferImpedance, IsPassive) {
  std::mt19937 random(3);
  const auto between = [&](double low, double high) {
    return low * std::pow(high / low, std::uniform_real_distribution<double>(0, 1)(random));
  };
  for (int trial = 0; trial < 200; ++trial) {
    TransferImpedance transfer_impedance;
    if (trial % 3 != 0) transfer_impedance.panel = Panel{between(0.1, 50), between(1, 300), between(1e-4, 2)};
    if (trial % 3 != 1) {
      transfer_impedance.porous = felt();
      transfer_impedance.porous->filling.flow_resistivity_pa_s_m2 = between(100, 1e6);
      transfer_impedance.porous->thickness_m = between(1e-4, 0.1);
    }
    for (double frequency = 1; frequency < 20000; frequency *= 1.3)
      EXPECT_GT(transfer_impedance_pa_s_m(transfer_impedance, air, frequency).real(), 0);
  }
}

TEST(TransferImpedance, RefusesRigidOrInvalidSheets) {
  TransferImpedance nothing;
  EXPECT_TRUE(nothing.rigid());
  EXPECT_THROW(transfer_impedance_pa_s_m(nothing, air, 100), std::invalid_argument);
  TransferImpedance thin;
  thin.porous = felt();
  EXPECT_THROW(transfer_impedance_pa_s_m(thin, air, 0), std::invalid_argument);
  thin.porous->thickness_m = 0;
  EXPECT_THROW(transfer_impedance_pa_s_m(thin, air, 100), std::invalid_argument);
  TransferImpedance panel;
  panel.panel = Panel{0, 45, 0.2};
  EXPECT_THROW(transfer_impedance_pa_s_m(panel, air, 100), std::invalid_argument);
}

}  // namespace
}  // namespace cabinfield
