#include "channel/equaliser.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <stdexcept>

#include "base/constants.h"

namespace cabinfield {
namespace {

constexpr double rate = 48000.0;
constexpr double nyquist = 0.5 * rate;

double level_db(const EqualiserBand& band, double frequency_hz) {
  return 20.0 * std::log10(std::abs(equaliser_section(band, rate).response(frequency_hz, rate)));
}

// Rounding error of a gain from 16-digit coefficients, dB: b0 + b1 + b2 and 1 + a1 + a2 are as small as the
// square of the digital frequency, and are differences of numbers up to 2 with some sixteen roundings each.
double rounding_db(double frequency_hz) {
  const double half_angle_sine = std::sin(pi * frequency_hz / rate);
  return 20.0 / std::log(10.0) * 32.0 * std::numeric_limits<double>::epsilon() /
         (4.0 * half_angle_sine * half_angle_sine);
}

// Defining properties in the Audio EQ Cookbook (W3C): a peak has its gain at f0 and none at DC and half the
// rate; a shelf has its gain on its own side, half of it at f0 and none on the other. 1e-11 dB besides that
// rounding: from the test's own logarithms.
TEST(Equaliser, HasItsGainAtDcAtItsFrequencyAndAtHalfTheRate) {
  for (double frequency : {20.0, 125.0, 1200.0, 16000.0})
    for (double gain : {-15.0, -3.0, 0.0, 6.0, 12.0})
      for (double q : {0.4, 0.70710678118654752, 2.0, 10.0}) {
        const double tolerance = 1e-11 + rounding_db(frequency);
        const EqualiserBand peak{EqualiserShape::peak, frequency, gain, q};
        EXPECT_NEAR(level_db(peak, 0.0), 0.0, tolerance);
        EXPECT_NEAR(level_db(peak, frequency), gain, tolerance);
        EXPECT_NEAR(level_db(peak, nyquist), 0.0, tolerance);
        const EqualiserBand low{EqualiserShape::low_shelf, frequency, gain, q};
        EXPECT_NEAR(level_db(low, 0.0), gain, tolerance);
        EXPECT_NEAR(level_db(low, frequency), 0.5 * gain, tolerance);
        EXPECT_NEAR(level_db(low, nyquist), 0.0, tolerance);
        const EqualiserBand high{EqualiserShape::high_shelf, frequency, gain, q};
        EXPECT_NEAR(level_db(high, 0.0), 0.0, tolerance);
        EXPECT_NEAR(level_db(high, frequency), 0.5 * gain, tolerance);
        EXPECT_NEAR(level_db(high, nyquist), gain, tolerance);
      }
}

// The cookbook's analogue prototypes, e.g. peak H(s) = (s^2 + s A/Q + 1)/(s^2 + s/(A Q) + 1), at the
// prewarped frequency.
TEST(Equaliser, IsTheCookbooksPrototypeWarped) {
  const double f0 = 1200.0;
  const double q = 2.0;
  const double gain = -6.0;
  const double a = std::pow(10.0, gain / 40.0);
  for (double frequency : {100.0, 900.0, 1500.0, 9000.0}) {
    const Complex s(0, std::tan(pi * frequency / rate) / std::tan(pi * f0 / rate));
    const double root = std::sqrt(a);
    const Complex peak = (s * s + s * (a / q) + 1.0) / (s * s + s / (a * q) + 1.0);
    const Complex low = a * (s * s + (root / q) * s + a) / (a * s * s + (root / q) * s + 1.0);
    const Complex high = a * (a * s * s + (root / q) * s + 1.0) / (s * s + (root / q) * s + a);
    const Complex all_pass = (s * s - s / q + 1.0) / (s * s + s / q + 1.0);
    const auto expect = [&](EqualiserShape shape, Complex expected) {
      const Complex actual = equaliser_section({shape, f0, gain, q}, rate).response(frequency, rate);
      EXPECT_NEAR(std::abs(actual - expected), 0.0, 1e-12) << static_cast<int>(shape) << ' ' << frequency;
    };
    expect(EqualiserShape::peak, peak);
    expect(EqualiserShape::low_shelf, low);
    expect(EqualiserShape::high_shelf, high);
    expect(EqualiserShape::all_pass, all_pass);
  }
}

TEST(Equaliser, AllPassDoesNotChangeTheLevel) {
  for (double corner : {20.0, 300.0, 12000.0})
    for (double q : {0.5, 0.7, 5.0})
      for (double frequency = 10; frequency < nyquist; frequency *= 1.3)
        EXPECT_NEAR(level_db({EqualiserShape::all_pass, corner, 6.0, q}, frequency), 0.0,
                    1e-11 + rounding_db(corner));
  // Half a turn at its frequency.
  const Complex at =
      equaliser_section({EqualiserShape::all_pass, 300.0, 0.0, 2.0}, rate).response(300.0, rate);
  EXPECT_NEAR(std::abs(at - Complex(-1.0)), 0.0, 1e-11);
}

TEST(Equaliser, CutUndoesBoost) {
  for (EqualiserShape shape : {EqualiserShape::peak, EqualiserShape::low_shelf, EqualiserShape::high_shelf})
    for (double frequency : {40.0, 500.0, 8000.0})
      EXPECT_NEAR(std::abs(equaliser_section({shape, 500.0, 7.0, 1.4}, rate).response(frequency, rate) *
                               equaliser_section({shape, 500.0, -7.0, 1.4}, rate).response(frequency, rate) -
                           1.0),
                  0.0, 1e-12);
}

TEST(Equaliser, IsStableAtAnyFrequency) {
  for (EqualiserShape shape : {EqualiserShape::peak, EqualiserShape::low_shelf, EqualiserShape::high_shelf,
                               EqualiserShape::all_pass})
    for (double frequency = 10.0; frequency <= 20000.0; frequency *= 1.25)
      for (double q : {0.1, 0.7, 20.0})
        for (double gain : {-24.0, 24.0})
          EXPECT_TRUE(equaliser_section({shape, frequency, gain, q}, rate).stable()) << frequency << ' ' << q;
}

TEST(Equaliser, RefusesInvalidBands) {
  EXPECT_THROW(equaliser_section({EqualiserShape::peak, 0, 3, 1}, rate), std::invalid_argument);
  EXPECT_THROW(equaliser_section({EqualiserShape::peak, 24000, 3, 1}, rate), std::invalid_argument);
  EXPECT_THROW(equaliser_section({EqualiserShape::peak, 1000, 3, 0}, rate), std::invalid_argument);
  EXPECT_THROW(equaliser_section({EqualiserShape::peak, 1000, std::nan(""), 1}, rate), std::invalid_argument);
}

}  // namespace
}  // namespace cabinfield
