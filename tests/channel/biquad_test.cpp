#include "channel/biquad.h"

#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>

#include "base/constants.h"

namespace cabinfield {
namespace {

constexpr double rate = 48000.0;

TEST(Biquad, EvaluatesItsTransferFunctionOnTheUnitCircle) {
  const Biquad section{0.3, -0.2, 0.7, -1.1, 0.4};
  for (double frequency : {0.0, 10.0, 1000.0, 12345.0, 24000.0}) {
    const Complex delay = std::polar(1.0, -2.0 * pi * frequency / rate);
    const Complex expected =
        (0.3 - 0.2 * delay + 0.7 * delay * delay) / (1.0 - 1.1 * delay + 0.4 * delay * delay);
    EXPECT_NEAR(std::abs(section.response(frequency, rate) - expected), 0.0, 1e-13) << frequency;
  }
}

TEST(Biquad, KeepsItsNyquistValueAboveHalfTheRate) {
  const Biquad section{0.5, 0.2, 0.1, -0.3, 0.1};
  EXPECT_EQ(section.response(30000.0, rate), section.response(24000.0, rate));
  EXPECT_NEAR(std::abs(section.response(24000.0, rate) - (0.5 - 0.2 + 0.1) / (1.0 + 0.3 + 0.1)), 0.0, 1e-15);
}

TEST(Biquad, IsStableInsideTheTriangle) {
  EXPECT_TRUE((Biquad{1, 0, 0, -1.8, 0.81}.stable()));     // double pole at 0.9
  EXPECT_FALSE((Biquad{1, 0, 0, -2.2, 1.21}.stable()));    // double pole at 1.1
  EXPECT_FALSE((Biquad{1, 0, 0, -2.05, 1.045}.stable()));  // poles at 0.95 and 1.1
  EXPECT_FALSE((Biquad{1, 0, 0, 1.0, 0.0}.stable()));      // pole at -1
}

TEST(Cascade, IsTheProductOfItsSections) {
  const std::vector<Biquad> sections = {{0.3, -0.2, 0.7, -1.1, 0.4}, {1, 0.5, 0, 0.2, 0}};
  const std::vector<double> frequencies = {50.0, 5000.0};
  const std::vector<Complex> response = cascade_response(sections, frequencies, rate);
  for (std::size_t f = 0; f < frequencies.size(); ++f)
    EXPECT_EQ(response[f],
              sections[0].response(frequencies[f], rate) * sections[1].response(frequencies[f], rate));
  EXPECT_EQ(cascade_response({}, {100.0}, rate)[0], Complex(1.0));
}

TEST(Corner, IsBetweenZeroAndHalfTheRate) {
  EXPECT_NO_THROW(require_corner_below_half_rate(23999.0, rate));
  for (double frequency : {0.0, -10.0, 24000.0, std::nan("")})
    EXPECT_THROW(require_corner_below_half_rate(frequency, rate), std::invalid_argument);
  EXPECT_THROW(require_corner_below_half_rate(100.0, 0.0), std::invalid_argument);
}

}  // namespace
}  // namespace cabinfield
