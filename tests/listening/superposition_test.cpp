// All channels together are the sum of each alone; gains scale, delays shift the phase.
#include <gtest/gtest.h>

#include <cmath>

#include "base/constants.h"
#include "listening/response.h"
#include "predict/prediction.h"
#include "scene/scene_text.h"

namespace cabinfield::test {
namespace {

std::string scene_with(const std::string& left, const std::string& sub, const std::string& rest = "") {
  return "cabin: {box: {length: 2 m, width: 1.4 m, height: 1.1 m}, materials: {all: carpet}}\n"
         "seats: {driver: {head: [1.5, -0.35, 0.9]}, passenger: {mirror_of: driver}}\n"
         "drivers:\n"
         "  left: {model: midbass_165, position: [0.5, -0.7, 0.3], surface: left, loading: {sealed: 12 L}}\n"
         "  sub: {model: sub_250_dual, position: [1.9, 0.3, 0], surface: floor, loading: {sealed: 25 L}}\n"
         "channels:\n"
         "  left: {drives: [left], signal: left, highpass: {frequency: 80 Hz}, " +
         left +
         "}\n"
         "  sub: {drives: [sub], signal: {left: 0.4, right: 0.6}, highpass: {family: butterworth, order: 2, "
         "frequency: 25 Hz}, " +
         sub + "}\n" + rest +
         "compute: {image_order: 6, frequencies: {from: 20 Hz, to: 5 kHz, per_octave: 3}}\n";
}

const char* const plain = "gain: 0 dB";

TEST(Superposition, TogetherIsTheSumOfEachAlone) {
  const Results both = predict(scene_of(scene_with(plain, "delay: 1 ms, polarity: inverted")));
  const Results left = predict(scene_of(scene_with(plain, "delay: 1 ms, polarity: inverted, mute: yes")));
  const Results sub = predict(scene_of(scene_with("mute: yes", "delay: 1 ms, polarity: inverted")));
  const auto &sum = both.signal_pa.values(), &one = left.signal_pa.values(), &other = sub.signal_pa.values();
  ASSERT_FALSE(sum.empty());
  double largest = 0;
  for (std::size_t i = 0; i < sum.size(); ++i) largest = std::max(largest, std::abs(sum[i]));
  EXPECT_GT(largest, 0.01) << "something is heard";
  // Two terms are added either way: rounding alone.
  for (std::size_t i = 0; i < sum.size(); ++i)
    EXPECT_NEAR(std::abs(sum[i] - one[i] - other[i]), 0, 1e-15 * largest);
}

TEST(Superposition, LeftAndRightTogetherAreMono) {
  const Results results = predict(scene_of(scene_with(plain, plain)));
  const std::size_t count = results.frequency_hz.size();
  for (std::size_t s = 0; s < 2; ++s)
    for (std::size_t e = 0; e < 2; ++e)
      for (std::size_t f = 0; f < count; ++f) {
        const Complex left = results.signal_pa(0, 0, s, e, f), right = results.signal_pa(0, 1, s, e, f),
                      mono = results.signal_pa(0, 2, s, e, f);
        EXPECT_NEAR(std::abs(left + right - mono), 0, 1e-14 * (std::abs(left) + std::abs(right)));
        // Shares of the mixes: left takes the left signal, the sub 0.4 and 0.6.
        const Complex own_left = results.channel_pa(0, 0, s, e, f),
                      own_sub = results.channel_pa(0, 1, s, e, f);
        EXPECT_NEAR(std::abs(own_left + 0.4 * own_sub - left), 0,
                    1e-14 * (std::abs(own_left) + std::abs(own_sub)));
        EXPECT_NEAR(std::abs(0.6 * own_sub - right), 0, 1e-14 * std::abs(own_sub));
      }
}

TEST(Superposition, GainScalesDelayShiftsPhaseAndMuteSilences) {
  const Results plainly = predict(scene_of(scene_with(plain, plain)));
  const Results changed =
      predict(scene_of(scene_with("gain: -6 dB, delay: 2 ms", "polarity: inverted",
                                  "groups: {all: {members: [left, sub], gain: 2 dB}}\n"
                                  "presets: {silent: {channels: {left: {mute: yes}}}}\n")));
  const double factor_left = std::pow(10, -4 / 20.0), factor_sub = std::pow(10, 2 / 20.0);
  for (std::size_t f = 0; f < plainly.frequency_hz.size(); ++f) {
    // 1e-12: the phase of 2 pi f tau, some 60 rad, rounds to 1e-14.
    const Complex turn = std::polar(1.0, -2 * pi * plainly.frequency_hz[f] * 2e-3);
    const Complex left = plainly.channel_pa(0, 0, 1, 0, f), sub = plainly.channel_pa(0, 1, 1, 0, f);
    EXPECT_NEAR(std::abs(changed.channel_pa(0, 0, 1, 0, f) - factor_left * turn * left), 0,
                1e-12 * std::abs(left));
    EXPECT_NEAR(std::abs(changed.channel_pa(0, 1, 1, 0, f) + factor_sub * sub), 0, 1e-12 * std::abs(sub));
    EXPECT_EQ(changed.channel_pa(1, 0, 1, 0, f), Complex(0));
    EXPECT_EQ(changed.channel_pa(1, 1, 1, 0, f), changed.channel_pa(0, 1, 1, 0, f));
  }
}

TEST(Superposition, SwappedSidesGiveMirroredResults) {
  const auto scene = [](const char* one, const char* other) {
    return scene_of(
        "cabin: {box: {length: 2 m, width: 1.4 m, height: 1.1 m}, materials: {all: carpet}}\n"
        "seats: {a: {head: [1.5, " +
        std::string(one) +
        "0.35, 0.9]}, b: {mirror_of: a}}\n"
        "drivers: {d: {model: midbass_165, position: [0.5, " +
        one + "0.7, 0.3], surface: " + other +
        "}}\n"
        "channels: {c: {drives: [d], highpass: {frequency: 80 Hz}}}\n"
        "compute: {field: images, image_order: 8, frequencies: {from: 20 Hz, to: 5 kHz, per_octave: 3}}\n");
  };
  const Results left = predict(scene("-", "left")), right = predict(scene("", "right"));
  for (std::size_t s = 0; s < 2; ++s)
    for (std::size_t e = 0; e < 2; ++e)
      for (std::size_t f = 0; f < left.frequency_hz.size(); ++f)
        // Images are summed in another order: rounding of some thousand terms.
        EXPECT_NEAR(std::abs(left.channel_pa(0, 0, s, e, f) - right.channel_pa(0, 0, s, 1 - e, f)), 0,
                    1e-10 * std::abs(left.channel_pa(0, 0, s, e, f)) + 1e-12);
}

TEST(Grille, TransmitsEverythingWhenFullyOpen) {
  const Air air = air_with(343, 1.2);
  const std::vector<double> frequency{100, 1000, 10000};
  for (const Complex& factor : grille_transmission(1, air, frequency)) EXPECT_EQ(factor, Complex(1));
  // Mass m = rho (1 mm + 0.85 * 2 mm)/0.3 = 0.0108 kg/m2: |1/(1 + j omega m/(2 rho c))| at 10 kHz, by hand: x
  // = 0.82432, 1/sqrt(1 + x^2) = 0.77163.
  EXPECT_NEAR(std::abs(grille_transmission(0.3, air, frequency)[2]), 0.77163, 1e-5);
  double last = 0;
  for (double open : {0.05, 0.1, 0.3, 0.6, 0.99}) {
    const double now = std::abs(grille_transmission(open, air, frequency)[2]);
    EXPECT_GT(now, last) << "more holes, more sound";
    last = now;
  }
}

}  // namespace
}  // namespace cabinfield::test
