#include "base/minimum_phase.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <stdexcept>

#include "base/constants.h"
#include "listening/impulse.h"

namespace cabinfield {
namespace {

/// The gain of a known filter at every 1/per_octave of an octave, ten octaves to each side of `centre_hz`.
template <typename Filter>
MinimumPhaseGain sampled(const Filter& filter, double centre_hz, int per_octave) {
  std::vector<double> frequency, gain;
  for (int n = -10 * per_octave; n <= 10 * per_octave; ++n) {
    frequency.push_back(centre_hz * std::pow(2, static_cast<double>(n) / per_octave));
    gain.push_back(20 * std::log10(std::abs(filter(frequency.back()))));
  }
  return {frequency, gain};
}

template <typename Filter>
double worst_phase_error(const Filter& filter, double centre_hz, int per_octave) {
  const MinimumPhaseGain gain = sampled(filter, centre_hz, per_octave);
  double worst = 0;
  for (double octave = -4; octave <= 4; octave += 0.037) {
    const double f = centre_hz * std::pow(2, octave);
    worst = std::max(worst, std::abs(gain.phase_rad(f) - std::arg(filter(f))));
  }
  return worst;
}

// Second-order analogue filters have their zeros and poles in the left half plane: their own phase is the
// minimum one.
Complex peak(double frequency_hz) {
  const double a = std::pow(10, 6.0 / 40), q = 2;
  const Complex s(0, frequency_hz / 1000);
  return (s * s + s * (a / q) + 1.0) / (s * s + s / (a * q) + 1.0);
}

Complex high_shelf(double frequency_hz) {
  const double a = std::pow(10, -9.0 / 40), root = std::sqrt(2 * a);  // shelf slope 1
  const Complex s(0, frequency_hz / 1000);
  return a * (a * s * s + root * s + 1.0) / (s * s + root * s + a);
}

TEST(MinimumPhase, IsThatOfAFilterWhoseGainItIs) {
  // The error of linear interpolation between samples falls with the square of their spacing.
  const double coarse = worst_phase_error(peak, 1000, 24), fine = worst_phase_error(peak, 1000, 48);
  EXPECT_LT(fine, 5e-4);
  EXPECT_NEAR(coarse / fine, 4, 0.5);
  EXPECT_LT(worst_phase_error(high_shelf, 1000, 48), 5e-4);
  EXPECT_LT(worst_phase_error([](double f) { return 1.0 / peak(f); }, 1000, 48), 5e-4);
}

TEST(MinimumPhase, OfABrokenLineIsTheHilbertTransformOfItsLogarithm) {
  // scipy.signal.hilbert (SciPy 1.10) of ln|gain| on 2^22 even frequencies to 1.536 MHz, sign reversed; what
  // lies beyond the top of that grid makes it differ by 4e-6 at 40 kHz.
  const MinimumPhaseGain line({100, 200, 400, 2000, 20000}, {0, 1, -3, 5, 4});
  const std::vector<std::pair<double, double>> expected{
      {20, 0.003759589},   {100, 0.036562214},  {150, 0.028226777},    {300, -0.126694310},
      {1000, 0.471135107}, {3000, 0.132691922}, {20000, -0.010596895}, {40000, -0.002080530}};
  for (const auto& [frequency, phase] : expected) EXPECT_NEAR(line.phase_rad(frequency), phase, 4e-6);
  EXPECT_DOUBLE_EQ(line.gain_db(50), 0);
  EXPECT_DOUBLE_EQ(line.gain_db(50000), 4);
  EXPECT_NEAR(line.gain_db(std::sqrt(200 * 400.0)), -1, 1e-12);
}

TEST(MinimumPhase, OfASlopeIsNinetyDegreesAsItShouldBe) {
  // 20 dB per decade over 12 decades, evaluated in the middle: each missing end contributes 2/pi of 1e-6.
  const MinimumPhaseGain slope({1e-3, 1e9}, {-120, 120});
  EXPECT_NEAR(slope.phase_rad(1e3), pi / 2, 2e-6);
  const MinimumPhaseGain flat({1000}, {-7});
  EXPECT_EQ(flat.phase_rad(10), 0);
  EXPECT_NEAR(std::abs(flat(10)), std::pow(10, -7.0 / 20), 1e-15);
}

TEST(MinimumPhase, SaysNothingBeforeItIsAsked) {
  // A rough gain with a step of 20 dB, delayed by 2 ms in an impulse response at 48 kHz: before those 2 ms
  // there may only be the ripple of the band limit, 80 dB down. Corners of the gain decay as 1/t^2: 1 s lets
  // that fall to 107 dB below the peak before it wraps round.
  const MinimumPhaseGain rough({100, 200, 400, 420, 2000, 4000, 4400, 16000}, {0, 3, -4, 16, 12, 20, 2, -6});
  const ImpulseGrid grid{48000, 48000};
  const double late_s = 0.002;
  std::vector<Complex> forward, backward;
  for (double f : grid.frequency_hz()) {
    forward.push_back(rough(f) * std::polar(1.0, -2 * pi * f * late_s));
    backward.push_back(std::conj(rough(f)) * std::polar(1.0, -2 * pi * f * late_s));
  }
  const ImpulseTransform transform(grid);
  const double first_s = late_s - band_limit_lead_s(48000);
  EXPECT_LT(level_before_db(transform(forward, 1), 48000, first_s), -80);
  EXPECT_GT(level_before_db(transform(backward, 1), 48000, first_s), -30);  // so the test can detect it
}

TEST(MinimumPhase, RefusesWhatIsNoGain) {
  const double not_a_number = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THROW(MinimumPhaseGain({}, {}), std::invalid_argument);
  EXPECT_THROW(MinimumPhaseGain({100, 200}, {1}), std::invalid_argument);
  EXPECT_THROW(MinimumPhaseGain({100, 100}, {1, 2}), std::invalid_argument);
  EXPECT_THROW(MinimumPhaseGain({0, 100}, {1, 2}), std::invalid_argument);
  EXPECT_THROW(MinimumPhaseGain({100, not_a_number}, {1, 2}), std::invalid_argument);
  EXPECT_THROW(MinimumPhaseGain({100, 200}, {1, not_a_number}), std::invalid_argument);
}

}  // namespace
}  // namespace cabinfield
