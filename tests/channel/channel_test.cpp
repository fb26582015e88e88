#include "channel/channel.h"

#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>

#include "base/constants.h"

namespace cabinfield {
namespace {

constexpr double rate = 48000.0;

ChannelSettings midbass() {
  ChannelSettings settings;
  settings.highpass = Crossover{CrossoverFamily::linkwitz_riley, 4, 80.0};
  settings.lowpass = Crossover{CrossoverFamily::bessel, 5, 2800.0};
  settings.equaliser = {{EqualiserShape::peak, 1200.0, -3.0, 2.0},
                        {EqualiserShape::low_shelf, 120.0, 4.0, 0.7}};
  return settings;
}

TEST(Channel, WithNoSettingsChangesNothing) {
  const std::vector<Complex> expected(2, Complex(1.0));
  EXPECT_EQ(channel_response({}, {20.0, 20000.0}, rate), expected);
}

TEST(Channel, RunsEveryFilterItIsGiven) {
  const ChannelSettings settings = midbass();
  EXPECT_EQ(channel_sections(settings, rate).size(), 2u + 3u + 2u);
  const std::vector<double> frequencies = {40.0, 100.0, 1200.0, 5000.0};
  const auto high = cascade_response(crossover_sections(*settings.highpass, CrossoverSide::highpass, rate),
                                     frequencies, rate);
  const auto low = cascade_response(crossover_sections(*settings.lowpass, CrossoverSide::lowpass, rate),
                                    frequencies, rate);
  const auto all = channel_response(settings, frequencies, rate);
  for (std::size_t f = 0; f < frequencies.size(); ++f) {
    Complex expected = high[f] * low[f];
    for (const EqualiserBand& band : settings.equaliser)
      expected *= equaliser_section(band, rate).response(frequencies[f], rate);
    EXPECT_NEAR(std::abs(all[f] - expected), 0.0, 1e-15 + 1e-14 * std::abs(expected));
  }
}

// As in the processor: an impulse filtered by the sections sample by sample, in double precision, and
// transformed. The impulse response has decayed below 1e-15 after 1.4 s; 1e-9 is the rounding of a recursion
// with poles at 80 Hz.
TEST(Channel, ImpulseThroughTheSectionsTransformsToTheResponse) {
  const ChannelSettings settings = midbass();
  std::vector<double> samples(65536, 0.0);
  samples[0] = 1.0;
  for (const Biquad& section : channel_sections(settings, rate)) {
    double x1 = 0, x2 = 0, y1 = 0, y2 = 0;
    for (double& sample : samples) {
      const double x = sample;
      sample = section.b0 * x + section.b1 * x1 + section.b2 * x2 - section.a1 * y1 - section.a2 * y2;
      x2 = x1, x1 = x, y2 = y1, y1 = sample;
    }
  }
  for (double frequency : {20.0, 80.0, 333.0, 1200.0, 2800.0, 15000.0}) {
    Complex transform = 0;
    for (std::size_t n = 0; n < samples.size(); ++n)
      transform += samples[n] * std::polar(1.0, -2.0 * pi * frequency * static_cast<double>(n) / rate);
    const Complex expected = channel_response(settings, {frequency}, rate)[0];
    EXPECT_NEAR(std::abs(transform - expected), 0.0, 1e-9) << frequency;
  }
}

TEST(Channel, GainAndPolarity) {
  ChannelSettings settings;
  settings.gain_db = -6.0;
  EXPECT_NEAR(channel_response(settings, {100.0}, rate)[0].real(), std::pow(10.0, -0.3), 1e-15);
  settings.inverted = true;
  EXPECT_NEAR(channel_response(settings, {100.0}, rate)[0].real(), -std::pow(10.0, -0.3), 1e-15);
}

TEST(Channel, DelayTurnsThePhaseBackward) {
  ChannelSettings settings;
  settings.delay_s = 1.24e-3;
  for (double frequency : {10.0, 201.6129, 5000.0, 20000.0}) {
    const Complex response = channel_response(settings, {frequency}, rate)[0];
    EXPECT_NEAR(std::abs(response), 1.0, 1e-15);
    EXPECT_NEAR(std::abs(response - std::exp(Complex(0, -2.0 * pi * frequency * 1.24e-3))), 0.0, 1e-13);
  }
  settings.delay_s = 0.25e-3;  // a quarter turn at 1 kHz: later is a negative phase
  EXPECT_NEAR(std::arg(channel_response(settings, {1000.0}, rate)[0]), -0.5 * pi, 1e-15);
}

TEST(Channel, MuteIsSilence) {
  ChannelSettings settings = midbass();
  settings.mute = true;
  const std::vector<Complex> silence(2, Complex(0));
  EXPECT_EQ(channel_response(settings, {100.0, 1000.0}, rate), silence);
}

TEST(Wiring, InParallelEachDriverHasTheFullVoltage) {
  const auto share = wiring_voltage_share(DriverWiring::parallel, {{Complex(4, 1)}, {Complex(8, -2)}});
  EXPECT_EQ(share[0][0], Complex(1.0));
  EXPECT_EQ(share[1][0], Complex(1.0));
}

// Kirchhoff: the current is the same, so each driver's voltage is proportional to its impedance.
TEST(Wiring, InSeriesTheVoltageDividesByImpedance) {
  const std::vector<std::vector<Complex>> impedance = {{Complex(4, 1), Complex(30, 0)},
                                                       {Complex(8, -2), Complex(4, 3)}};
  const auto share = wiring_voltage_share(DriverWiring::series, impedance);
  for (std::size_t f = 0; f < 2; ++f) {
    EXPECT_NEAR(std::abs(share[0][f] + share[1][f] - 1.0), 0.0, 1e-15);
    EXPECT_NEAR(std::abs(share[0][f] / impedance[0][f] - share[1][f] / impedance[1][f]), 0.0, 1e-15);
  }
  EXPECT_EQ(wiring_voltage_share(DriverWiring::series, {{Complex(4, 1)}})[0][0], Complex(1.0));
  const auto equal = wiring_voltage_share(DriverWiring::series, {{Complex(3, 2)}, {Complex(3, 2)}});
  EXPECT_EQ(equal[0][0], Complex(0.5));
}

TEST(Wiring, RefusesInvalidImpedances) {
  EXPECT_THROW(wiring_voltage_share(DriverWiring::parallel, {{4.0}, {4.0, 4.0}}), std::invalid_argument);
  EXPECT_THROW(wiring_voltage_share(DriverWiring::series, {{Complex(0, 4)}, {Complex(0, -4)}}),
               std::invalid_argument);
  EXPECT_TRUE(wiring_voltage_share(DriverWiring::series, {}).empty());
}

}  // namespace
}  // namespace cabinfield
