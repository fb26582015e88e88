#include "channel/crossover.h"

#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>

#include "base/constants.h"

namespace cabinfield {
namespace {

constexpr double rate = 48000.0;
constexpr CrossoverFamily all_families[] = {CrossoverFamily::butterworth, CrossoverFamily::linkwitz_riley,
                                            CrossoverFamily::bessel};
constexpr CrossoverSide both_sides[] = {CrossoverSide::highpass, CrossoverSide::lowpass};

Complex response(CrossoverFamily family, int order, double corner_hz, CrossoverSide side,
                 double frequency_hz) {
  return cascade_response(crossover_sections({family, order, corner_hz}, side, rate), {frequency_hz},
                          rate)[0];
}

double level_db(Complex response) { return 20.0 * std::log10(std::abs(response)); }

// Digital frequency whose prewarped analogue frequency is `ratio` times that of the corner.
double warped(double corner_hz, double ratio) {
  return std::atan(ratio * std::tan(pi * corner_hz / rate)) * rate / pi;
}

// Delay at DC, s, from the phase at a thousandth of the corner: the next term of the phase is smaller by the
// square of that.
double delay_at_dc(CrossoverFamily family, int order, double corner_hz) {
  const double frequency = 1e-3 * corner_hz;
  return -std::arg(response(family, order, corner_hz, CrossoverSide::lowpass, frequency)) /
         (2.0 * pi * frequency);
}

// W3C Audio EQ Cookbook, low pass, f0 = 1 kHz, fs = 48 kHz, Q = 1/sqrt(2), evaluated to fifteen digits.
TEST(Crossover, SecondOrderButterworthIsTheCookbooksLowPass) {
  const auto sections =
      crossover_sections({CrossoverFamily::butterworth, 2, 1000.0}, CrossoverSide::lowpass, rate);
  ASSERT_EQ(sections.size(), 1u);
  EXPECT_NEAR(sections[0].b0, .003916126660547, 1e-12);
  EXPECT_NEAR(sections[0].b1, .007832253321095, 1e-12);
  EXPECT_NEAR(sections[0].b2, .003916126660547, 1e-12);
  EXPECT_NEAR(sections[0].a1, -1.815341082704568, 1e-12);
  EXPECT_NEAR(sections[0].a2, .831005589346758, 1e-12);
}

// The cookbook's high pass by its own formulas: b = (1 + cos w0)/2 (1, -2, 1), a = 1 + alpha, -2 cos w0, 1 -
// alpha.
TEST(Crossover, SecondOrderButterworthIsTheCookbooksHighPass) {
  const double angle = 2.0 * pi * 1000.0 / rate;
  const double alpha = std::sin(angle) / std::sqrt(2.0);
  const Biquad section =
      crossover_sections({CrossoverFamily::butterworth, 2, 1000.0}, CrossoverSide::highpass, rate)[0];
  EXPECT_NEAR(section.b0, 0.5 * (1.0 + std::cos(angle)) / (1.0 + alpha), 1e-12);
  EXPECT_NEAR(section.b1, -(1.0 + std::cos(angle)) / (1.0 + alpha), 1e-12);
  EXPECT_NEAR(section.b2, section.b0, 1e-15);
  EXPECT_NEAR(section.a1, -2.0 * std::cos(angle) / (1.0 + alpha), 1e-12);
  EXPECT_NEAR(section.a2, (1.0 - alpha) / (1.0 + alpha), 1e-12);
}

// |H|^2 = 1/(1 + x^(2n)) (Butterworth 1930), x the ratio of prewarped frequencies.
TEST(Crossover, ButterworthHasItsMagnitudeAtEveryOrder) {
  for (int order = 1; order <= 8; ++order)
    for (double corner : {20.0, 80.0, 2800.0, 15000.0})
      for (double ratio : {0.25, 0.5, 1.0, 2.0, 4.0}) {
        const double expected = -10.0 * std::log10(1.0 + std::pow(ratio, 2 * order));
        const auto at = [&](CrossoverSide side, double times) {
          return level_db(response(CrossoverFamily::butterworth, order, corner, side, warped(corner, times)));
        };
        // 1e-7 dB: coefficients of 16 digits describe a pole at 20 Hz to about 1e-9.
        EXPECT_NEAR(at(CrossoverSide::lowpass, ratio), expected, 1e-7)
            << order << ' ' << corner << ' ' << ratio;
        EXPECT_NEAR(at(CrossoverSide::highpass, 1.0 / ratio), expected, 1e-7)
            << order << ' ' << corner << ' ' << ratio;
      }
}

TEST(Crossover, ButterworthIsThreeDecibelsDownAtTheStatedFrequency) {
  for (int order = 1; order <= 8; ++order)
    for (CrossoverSide side : both_sides)
      EXPECT_NEAR(level_db(response(CrossoverFamily::butterworth, order, 500.0, side, 500.0)), -3.0103, 5e-5)
          << order;
}

// Linkwitz 1976: each side -6.02 dB at crossover, and the two sum to an all-pass; 12 and 36 dB/octave with
// one side inverted.
TEST(Crossover, LinkwitzRileySidesSumToAnAllPass) {
  for (int order : {2, 4, 6, 8})
    for (double corner : {80.0, 500.0, 2800.0, 12000.0}) {
      const double sign = order % 4 == 2 ? -1.0 : 1.0;
      for (CrossoverSide side : both_sides)
        EXPECT_NEAR(level_db(response(CrossoverFamily::linkwitz_riley, order, corner, side, corner)), -6.0206,
                    5e-5);
      for (double frequency = 10; frequency < 23000; frequency *= 1.2) {
        const Complex sum =
            response(CrossoverFamily::linkwitz_riley, order, corner, CrossoverSide::lowpass, frequency) +
            sign *
                response(CrossoverFamily::linkwitz_riley, order, corner, CrossoverSide::highpass, frequency);
        EXPECT_NEAR(level_db(sum), 0.0, 1e-9) << order << ' ' << corner << ' ' << frequency;
      }
    }
}

TEST(Crossover, SecondOrderLinkwitzRileyCancelsAtCrossoverUnlessInverted) {
  const Complex sum = response(CrossoverFamily::linkwitz_riley, 2, 500.0, CrossoverSide::lowpass, 500.0) +
                      response(CrossoverFamily::linkwitz_riley, 2, 500.0, CrossoverSide::highpass, 500.0);
  EXPECT_NEAR(std::abs(sum), 0.0, 1e-12);
}

// The fourth-order sum is (s^2 - sqrt2 s + 1)/(s^2 + sqrt2 s + 1): its delay at DC is 2 sqrt2/omega0. The
// bilinear transform keeps the slope at DC and moves omega0 to its prewarped value.
TEST(Crossover, FourthOrderLinkwitzRileySumHasTheDelayOfItsAllPass) {
  for (double corner : {80.0, 2800.0}) {
    const double frequency = 1e-3 * corner;
    const Complex sum =
        response(CrossoverFamily::linkwitz_riley, 4, corner, CrossoverSide::lowpass, frequency) +
        response(CrossoverFamily::linkwitz_riley, 4, corner, CrossoverSide::highpass, frequency);
    const double delay = -std::arg(sum) / (2.0 * pi * frequency);
    const double prewarped = 2.0 * rate * std::tan(pi * corner / rate);
    // 1e-6: the delay at a thousandth of the corner differs from that at DC by the square of a thousandth.
    EXPECT_NEAR(delay * prewarped, 2.0 * std::sqrt(2.0), 2.0 * std::sqrt(2.0) * 1e-6);
  }
  // At 80 Hz the warping itself, (pi fc/fs)^2/3, is 1e-5.
  EXPECT_NEAR(delay_at_dc(CrossoverFamily::linkwitz_riley, 4, 80.0) * 2.0 * pi * 80.0, 2.0 * std::sqrt(2.0),
              1e-4);
}

// Ratio of the -3 dB frequency to the inverse of the delay at DC, textbook table for n = 2, 3, 4 (from
// memory; follows from Thomson 1949). Half of the last printed digit.
TEST(Crossover, BesselHasTheDelayOfThePublishedTable) {
  const double factors[] = {1.3617, 1.7557, 2.1139};
  for (int order = 2; order <= 4; ++order) {
    const double prewarped = 2.0 * rate * std::tan(pi * 200.0 / rate);
    EXPECT_NEAR(delay_at_dc(CrossoverFamily::bessel, order, 200.0) * prewarped, factors[order - 2], 5e-5)
        << order;
  }
}

TEST(Crossover, BesselIsThreeDecibelsDownAtTheStatedFrequency) {
  for (int order = 1; order <= 8; ++order)
    for (CrossoverSide side : both_sides)
      for (double corner : {20.0, 500.0, 15000.0})
        EXPECT_NEAR(level_db(response(CrossoverFamily::bessel, order, corner, side, corner)),
                    -10.0 * std::log10(2.0), 1e-7)
            << order << ' ' << corner;
}

// Maximally flat delay: the delay of order n departs from that at DC by terms of (omega t0)^(2n) (Thomson
// 1949).
TEST(Crossover, BesselLowPassHasAFlatDelay) {
  const double corner = 100.0;  // warping is then 1e-5
  const double step = 0.01;
  for (int order = 3; order <= 8; ++order) {
    const auto delay = [&](double frequency) {
      const Complex above =
          response(CrossoverFamily::bessel, order, corner, CrossoverSide::lowpass, frequency + step);
      const Complex below =
          response(CrossoverFamily::bessel, order, corner, CrossoverSide::lowpass, frequency - step);
      return -std::arg(above / below) / (4.0 * pi * step);
    };
    // Half way to the corner omega t0 is at most 0.88 at order 3, where the next term is (omega t0)^6/225 =
    // 0.2 %.
    EXPECT_NEAR(delay(50.0) / delay(1.0), 1.0, 3e-3) << order;
  }
}

TEST(Crossover, HighPassIsTheMirrorImageOfTheLowPass) {
  for (CrossoverFamily family : all_families)
    for (int order : {2, 4, 6, 8})
      for (double ratio : {0.3, 0.8, 1.7}) {
        const double low =
            std::abs(response(family, order, 1000.0, CrossoverSide::lowpass, warped(1000.0, ratio)));
        const double high =
            std::abs(response(family, order, 1000.0, CrossoverSide::highpass, warped(1000.0, 1.0 / ratio)));
        EXPECT_NEAR(low, high, 1e-11 * low) << order << ' ' << ratio;
      }
}

struct LibraryValue {
  CrossoverFamily family;
  int order;
  double corner_hz;
  CrossoverSide side;
  double frequency_hz, real, imaginary;
};

// scipy 1.10.1: signal.butter and signal.bessel(norm='mag'), fs=48000, output='sos', then signal.sosfreqz.
// 1e-10: the library's own two forms (sections, poles and zeros) differ by up to 1.4e-12 here.
TEST(Crossover, AgreesWithAGeneralSignalLibrary) {
  constexpr auto bessel = CrossoverFamily::bessel;
  constexpr auto butterworth = CrossoverFamily::butterworth;
  constexpr auto highpass = CrossoverSide::highpass;
  constexpr auto lowpass = CrossoverSide::lowpass;
  const LibraryValue values[] = {
      {bessel, 3, 80, highpass, 63.0, -0.3089314687817366, 0.4660450790448176},
      {bessel, 8, 80, highpass, 100.0, -0.6636494994620267, 0.45199569621973557},
      {bessel, 5, 2800, lowpass, 3500.0, -0.561546614212712, -0.05426370438350292},
      {bessel, 8, 2800, lowpass, 2000.0, -0.534321457854936, -0.6503185798179699},
      {bessel, 7, 12000, lowpass, 16000.0, 0.1172670269642978, 0.2953062938211278},
      {bessel, 2, 500, highpass, 1000.0, 0.7180472690861069, 0.5773576687715806},
      {bessel, 6, 250, lowpass, 400.0, -0.15135420949220493, 0.3459033912302167},
      {bessel, 1, 1000, lowpass, 3000.0, 0.09794213970100638, -0.2972363991367727},
      {bessel, 4, 20000, highpass, 15000.0, -0.04041366492745382, -0.09866341722427165},
      {butterworth, 3, 80, highpass, 63.0, -0.42847977725232994, 0.09475689219026137},
      {butterworth, 8, 80, highpass, 100.0, -0.15740752801086155, -0.9735749348807909},
      {butterworth, 5, 2800, lowpass, 3500.0, 0.07492968724769306, 0.29302860566783484},
      {butterworth, 8, 2800, lowpass, 2000.0, -0.7083211370743897, 0.7029205760693299},
      {butterworth, 7, 12000, lowpass, 16000.0, -0.008822786864516062, -0.019472976741325046},
      {butterworth, 2, 500, highpass, 1000.0, 0.7065642873536717, 0.664966454165601},
      {butterworth, 6, 250, lowpass, 400.0, 0.04961845349730301, -0.03274531864774555},
      {butterworth, 1, 1000, lowpass, 3000.0, 0.09794213970100647, -0.29723639913677286},
      {butterworth, 4, 20000, highpass, 15000.0, 0.0123224416262919, -0.022726279317987437},
  };
  for (const LibraryValue& value : values) {
    const Complex actual =
        response(value.family, value.order, value.corner_hz, value.side, value.frequency_hz);
    EXPECT_NEAR(std::abs(actual - Complex(value.real, value.imaginary)), 0.0, 1e-10)
        << value.order << ' ' << value.corner_hz << ' ' << value.frequency_hz;
  }
}

TEST(Crossover, IsStableForAnyCorner) {
  for (double sample_rate : {44100.0, 48000.0, 96000.0, 192000.0})
    for (CrossoverFamily family : all_families)
      for (int order = 1; order <= 8; ++order) {
        if (!has_order(family, order)) continue;
        for (CrossoverSide side : both_sides)
          for (double corner = 10.0; corner <= 20000.0; corner *= std::pow(2000.0, 1.0 / 40.0))
            for (const Biquad& section : crossover_sections({family, order, corner}, side, sample_rate))
              EXPECT_TRUE(section.stable()) << order << ' ' << corner << ' ' << sample_rate;
      }
}

TEST(Crossover, HasAsFewSectionsAsItsOrderNeeds) {
  for (CrossoverFamily family : all_families)
    for (int order = 1; order <= 8; ++order) {
      if (!has_order(family, order)) continue;
      const auto sections = crossover_sections({family, order, 300.0}, CrossoverSide::lowpass, rate);
      EXPECT_EQ(sections.size(), static_cast<std::size_t>((order + 1) / 2)) << order;
    }
}

TEST(Crossover, RefusesInvalidOrdersAndFrequencies) {
  const auto build = [](CrossoverFamily family, int order, double corner) {
    return crossover_sections({family, order, corner}, CrossoverSide::lowpass, rate);
  };
  EXPECT_THROW(build(CrossoverFamily::butterworth, 0, 100), std::invalid_argument);
  EXPECT_THROW(build(CrossoverFamily::bessel, 9, 100), std::invalid_argument);
  EXPECT_THROW(build(CrossoverFamily::linkwitz_riley, 3, 100), std::invalid_argument);
  EXPECT_THROW(build(CrossoverFamily::butterworth, 2, 0), std::invalid_argument);
  EXPECT_THROW(build(CrossoverFamily::butterworth, 2, 24000), std::invalid_argument);
}

}  // namespace
}  // namespace cabinfield
