#include "system/limits.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace cabinfield {
namespace {

constexpr double without_end = std::numeric_limits<double>::infinity();

LimitedDriver driver() {
  LimitedDriver one;
  one.share = {1, 0.5};
  one.modulus_ohm = {4, 8};
  one.excursion_m_v = {1e-3, 1e-4};
  one.port_m_s_v = {1.7, 0.1};
  one.coil_ohm = 3.6;
  one.power_w = 100;
  one.peak_m = 6e-3;
  return one;
}

TEST(Limits, OfADriverAreItsOwnOverItsShare) {
  const LimitVoltages limits = driver_limits({driver()}, 2);
  auto at = [&](LimitKind kind, std::size_t f) { return limits[static_cast<std::size_t>(kind)][f]; };
  EXPECT_NEAR(at(LimitKind::coil_heat, 0), std::sqrt(100 / 3.6) * 4, 1e-12);
  EXPECT_NEAR(at(LimitKind::coil_heat, 1), std::sqrt(100 / 3.6) * 8 / 0.5, 1e-12);
  EXPECT_NEAR(at(LimitKind::excursion, 0), 6, 1e-12);
  EXPECT_NEAR(at(LimitKind::excursion, 1), 120, 1e-9);
  EXPECT_NEAR(at(LimitKind::port_noise, 0), 10, 1e-12);  // 17 m/s (common practice, no source)
  EXPECT_EQ(at(LimitKind::signal, 0), without_end);
  EXPECT_EQ(sine_limit(limits, 0).kind, LimitKind::excursion);
  EXPECT_NEAR(sine_limit(limits, 1).voltage_v, std::sqrt(100 / 3.6) * 16, 1e-9);
  EXPECT_EQ(sine_limit(limits, 1).kind, LimitKind::coil_heat);
}

TEST(Limits, TheWeakestOfSeveralDriversHolds) {
  LimitedDriver weak = driver();
  weak.peak_m = 3e-3;
  for (const auto& drivers : {std::vector{driver(), weak}, std::vector{weak, driver()}})
    EXPECT_NEAR(sine_limit(driver_limits(drivers, 2), 0).voltage_v, 3, 1e-12);
}

TEST(Limits, MusicOfASinesCrestInOneBandIsASine) {
  const LimitVoltages limits = driver_limits({driver()}, 2);
  const double sine_db = 10 * std::log10(2.0);
  for (std::size_t f : {0, 1}) {
    std::vector<double> weight{0, 0};
    weight[f] = 1;
    const Limit music = music_limit(limits, weight, {1, 1}, sine_db), sine = sine_limit(limits, f);
    EXPECT_NEAR(music.voltage_v, sine.voltage_v, 1e-9 * sine.voltage_v);
    EXPECT_EQ(music.kind, sine.kind);
  }
}

TEST(Limits, MusicHeatsWithAnEighthOfWhatASineOfItsPeaksDoes) {
  // 12 dB of crest factor against 3 dB: an eighth of the power (EN 60065 4.2.6).
  LimitVoltages limits = driver_limits({}, 1);
  limits[static_cast<std::size_t>(LimitKind::amplifier_voltage)][0] = 20;
  const Limit music = music_limit(limits, {1}, {1}, music_crest_db);
  EXPECT_EQ(music.kind, LimitKind::amplifier_voltage);
  EXPECT_NEAR(music.voltage_v * music.voltage_v, 20.0 * 20 / 8, 1e-3);
  limits[static_cast<std::size_t>(LimitKind::coil_heat)][0] =
      20;  // heat alone lets eight times as much through
  EXPECT_EQ(music_limit(limits, {1}, {1}, music_crest_db).kind, LimitKind::amplifier_voltage);
}

TEST(Limits, GainShiftsWhatMusicReaches) {
  const LimitVoltages limits = driver_limits({driver()}, 2);
  const Limit plain = music_limit(limits, {0.5, 0.5}, {1, 1}, 12),
              half = music_limit(limits, {0.5, 0.5}, {0.5, 0.5}, 12);
  EXPECT_NEAR(half.voltage_v, 2 * plain.voltage_v, 1e-9);
  EXPECT_EQ(music_limit(driver_limits({}, 2), {0.5, 0.5}, {1, 1}, 12).kind, LimitKind::none);
}

TEST(Limits, PinkGivesEveryOctaveAlike) {
  std::vector<double> frequency;
  for (int i = 0; i <= 600; ++i) frequency.push_back(10 * std::pow(2, i / 48.0));
  const auto weight = pink_weights(frequency);
  double sum = 0, octave = 0;
  for (std::size_t f = 0; f < frequency.size(); ++f) {
    sum += weight[f];
    if (frequency[f] >= 100 && frequency[f] < 200) octave += weight[f];
  }
  EXPECT_NEAR(sum, 1, 1e-12);
  EXPECT_NEAR(octave, std::log(2.0) / std::log(1000.0), 0.003);
  EXPECT_EQ(weight.front(), 0);
}

}  // namespace
}  // namespace cabinfield
