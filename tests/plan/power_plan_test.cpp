// Amplifier power against coil rating, cone travel and high-pass: circuits simple enough to work out by hand.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>

#include "plan/channel_load.h"
#include "plan/highpass.h"
#include "scene/scene_text.h"
#include "support/judged_plan.h"

namespace cabinfield::test {
namespace {

/// A cone so heavy that above some 10 Hz its coil is a resistance of 4 ohm, on an amplifier of 100 W into 4
/// ohm.
std::string on_amplifier(const std::string& coils, const std::string& power, const std::string& channel) {
  return "drivers: {one: {model: {" + coils +
         "thiele_small: {Fs: 5 Hz, Qes: 50, Qms: 5, Re: 4 ohm, Sd: 200 cm2, Mms: 500 g}, rating: {power: " +
         power +
         "}}, position: [0, 0, 0]}}\n"
         "channels: {tone: {drives: [one], " +
         channel +
         "amplifier: {unit: amp, channel: 1}}}\n"
         "amplifiers: {amp: {model: {channels: 1, regulated: yes, distortion: 0 %, ratings: [{load: 4 ohm, "
         "power: "
         "100 W}, {load: 2 ohm, power: 200 W}, {load: 1 ohm, power: 400 W}]}}}\n";
}

const Check& coil_power(const std::vector<Check>& checks) { return check_of(checks, "coil power", "one"); }

TEST(CoilPower, IsTheSineThatTheAmplifierGivesIntoTheCoil) {
  // 20 V RMS into 4 ohm: 100 W. From 151 Hz on twice the rating is allowed, below 1.25 times.
  for (const auto& [highpass, allowed] :
       {std::pair{"highpass: {order: 8, frequency: 2 kHz}, ", 2.0}, {"", 1.25}}) {
    const auto checks = checks_of(on_amplifier("", "80 W", highpass));
    EXPECT_NEAR(coil_power(checks).margin.value().value, allowed * 80 - 100, 1.5) << highpass;
    EXPECT_EQ(coil_power(checks).margin.value().unit, MarginUnit::watt);
  }
}

TEST(CoilPower, IsViolatedBeyondWhatIsAllowedAndACautionAboveTheRating) {
  auto outcome = [](const char* power, const char* channel) {
    return coil_power(checks_of(on_amplifier("", power, channel))).outcome;
  };
  const char* const high = "highpass: {order: 8, frequency: 2 kHz}, ";
  EXPECT_EQ(outcome("49 W", high), Outcome::violated);
  EXPECT_EQ(outcome("52 W", high), Outcome::caution);
  EXPECT_EQ(outcome("102 W", high), Outcome::met);
  EXPECT_EQ(outcome("78 W", ""), Outcome::violated);
  EXPECT_EQ(outcome("82 W", ""), Outcome::caution);
  EXPECT_EQ(outcome("102 W", ""), Outcome::met);
}

TEST(CoilPower, CountsGainEqualiserAndMixOfThePreset) {
  const std::string high = "highpass: {order: 8, frequency: 2 kHz}, ";
  auto power_w = [&](const std::string& channel) {
    return 2 * 100 - coil_power(checks_of(on_amplifier("", "100 W", high + channel))).margin.value().value;
  };
  EXPECT_NEAR(power_w("gain: -10 dB, "), 10, 0.2);
  EXPECT_NEAR(power_w("gain: 10 dB, "), 100, 1.5) << "no more than the amplifier gives";
  EXPECT_NEAR(power_w("gain: -10 dB, equaliser: [{shape: high-shelf, frequency: 500 Hz, gain: 6 dB}], "),
              10 * std::pow(10, 0.6), 1);
  EXPECT_NEAR(power_w("gain: -10 dB, signal: {left: 1, right: 1}, "), 40, 1);
}

TEST(CoilPower, OneCoilOfTwoTakesHalfTheRating) {
  // Rated with both coils in parallel, 4 ohm; one of them alone is 8 ohm: 50 W of the 20 V, and half of 100
  // W.
  const auto both = checks_of(on_amplifier("coils: 2, coils_measured: parallel, ", "100 W", ""));
  const auto one =
      checks_of(on_amplifier("coils: 2, coils_measured: parallel, ", "100 W", "wiring: {coils: single}, "));
  EXPECT_NEAR(coil_power(both).margin.value().value, 125 - 100, 1.5);
  EXPECT_NEAR(coil_power(one).margin.value().value, 62.5 - 50, 1.5);
}

// Far below resonance the cone follows the force: x = Bl V/(Re k), here sqrt 2 for the peak.
TEST(Excursion, IsThatOfTheForceOnTheSuspensionFarBelowResonance) {
  const auto checks = checks_of(
      "drivers: {one: {model: {thiele_small: {Fs: 2 kHz, Qes: 5, Qms: 5, Re: 4 ohm, Sd: 6 cm2, Mms: 0.3 g, "
      "Xmax: 0.1 "
      "mm}}, position: [0, 0, 0]}}\n"
      "channels: {tone: {drives: [one], lowpass: {order: 8, frequency: 100 Hz}, amplifier: {unit: amp, "
      "channel: 1}}}\n"
      "amplifiers: {amp: {model: {channels: 1, regulated: yes, distortion: 0 %, ratings: [{load: 4 ohm, "
      "power: 4 "
      "W}]}}}\n");
  const double omega = 2 * 3.14159265358979 * 2000, stiffness = omega * omega * 0.3e-3;
  const double force_factor = std::sqrt(omega * 0.3e-3 * 4 / 5);
  const double peak_m = std::sqrt(2.0) * force_factor * 4 / (4 * stiffness);
  EXPECT_NEAR(check_of(checks, "excursion", "one").margin.value().value, 0.2e-3 - peak_m, 0.02 * peak_m);
}

ChannelSettings highpass(CrossoverFamily family, int order, double frequency_hz) {
  ChannelSettings settings;
  settings.signal = {0.5, 0.5};
  settings.highpass = Crossover{family, order, frequency_hz};
  return settings;
}

TEST(Highpass, SlopesOfTheSecondOrderSufficeAndOfTheFirstDoNot) {
  using enum CrossoverFamily;
  constexpr double lowest_hz = 2500, rate_hz = 96000;
  EXPECT_FALSE(weak_highpass(highpass(butterworth, 2, lowest_hz), rate_hz, lowest_hz));
  EXPECT_FALSE(weak_highpass(highpass(bessel, 2, lowest_hz), rate_hz, lowest_hz));
  EXPECT_FALSE(weak_highpass(highpass(linkwitz_riley, 2, lowest_hz), rate_hz, lowest_hz));
  EXPECT_FALSE(weak_highpass(highpass(linkwitz_riley, 4, lowest_hz), rate_hz, lowest_hz));
  EXPECT_FALSE(weak_highpass(highpass(butterworth, 1, 4 * lowest_hz), rate_hz, lowest_hz));
  const auto weak = weak_highpass(highpass(butterworth, 1, lowest_hz), rate_hz, lowest_hz);
  ASSERT_TRUE(weak);
  // Two octaves down: -10 lg(1 + 16) and 5 - 10 lg(1 + 256).
  EXPECT_NEAR(weak->frequency_hz, lowest_hz / 4, 1e-6);
  EXPECT_NEAR(weak->level_db, -12.3, 0.1);
  EXPECT_NEAR(weak->allowed_db, -19.1, 0.1);
  EXPECT_TRUE(weak_highpass(highpass(butterworth, 1, 2 * lowest_hz), rate_hz, lowest_hz));
}

TEST(Highpass, AttenuationIsNoProtectionAndABoostCounts) {
  ChannelSettings settings = highpass(CrossoverFamily::butterworth, 1, 2500);
  settings.gain_db = -30;
  EXPECT_TRUE(weak_highpass(settings, 96000, 2500));
  settings = highpass(CrossoverFamily::butterworth, 2, 2500);
  settings.gain_db = 4;
  EXPECT_FALSE(weak_highpass(settings, 96000, 2500));
  settings.gain_db = 6;
  EXPECT_TRUE(weak_highpass(settings, 96000, 2500));
  settings.gain_db = 0;
  settings.equaliser = {{EqualiserShape::peak, 700, 12, 1}};
  EXPECT_TRUE(weak_highpass(settings, 96000, 2500));
}

TEST(FullBass, IsWhatTheChannelLetsThroughBelow150HzInItsLoudestPreset) {
  auto bass_w = [](const std::string& channel, const std::string& presets) {
    const Scene scene = scene_of(on_amplifier("", "100 W", channel) + presets);
    const auto loads = channel_loads(scene);
    return bass_power_w(loads[0], scene.system.amplifiers[0].amplifier, false, 13.8);
  };
  EXPECT_NEAR(bass_w("", ""), 100, 1);
  EXPECT_NEAR(bass_w("gain: -20 dB, ", ""), 100, 1) << "a gain can be turned up";
  // A first-order high-pass lets 1/(1 + (fc/f)^2) of the power through: 1/101 at 150 Hz, half at its corner.
  EXPECT_NEAR(bass_w("highpass: {family: butterworth, order: 1, frequency: 1.5 kHz}, ", ""), 100.0 / 101,
              0.1);
  EXPECT_NEAR(
      bass_w(
          "mute: yes, highpass: {order: 8, frequency: 2 kHz}, ",
          "presets: {on: {channels: {tone: {mute: no, highpass: {family: butterworth, order: 1, frequency: "
          "150 Hz}}}}}\n"),
      50, 1.5)
      << "muted as drawn, played in a preset";
}

}  // namespace
}  // namespace cabinfield::test
