// Side angles of mono and of each channel alone, for known positions in free air.
#include "predict/two_ears.h"

#include <gtest/gtest.h>

#include <cmath>

#include "base/constants.h"
#include "predict/prediction.h"
#include "scene/scene_text.h"

namespace cabinfield::test {
namespace {

/// Drivers 20 m off, in front, so many degrees to the right of the listener.
std::string location(double right_deg) {
  const double angle = right_deg * pi / 180;
  return "[" + std::to_string(-20 * std::cos(angle)) + ", " + std::to_string(20 * std::sin(angle)) + ", 1]";
}

std::string scene_text(const std::string& channels) {
  std::string text = "seats: {a: {head: [0, 0, 1]}}\ndrivers:\n";
  for (const auto& [name, right_deg] : {std::pair{"ahead", 0.0}, {"right", 30.0}, {"left", -60.0}})
    text += std::string("  ") + name + ": {model: mid_100, position: " + location(right_deg) +
            ", aim: {seat: a}}\n";
  return text + "channels:\n" + channels +
         "presets: {other: {channels: {second: {mute: no}}}}\n"
         "compute: {frequencies: {from: 20 Hz, to: 20 kHz, per_octave: 24}}\n";
}

TEST(TwoEars, LocateEachChannelAtItsPosition) {
  const Results results = predict(
      scene_of(scene_text("  first: {drives: [right], gain: -20 dB, delay: 5 ms, polarity: inverted}\n"
                          "  second: {drives: [left], mute: yes}\n"
                          "  third: {drives: [ahead], mute: yes}\n")));
  ASSERT_EQ(results.channel_interaural_known.shape(), (std::array<std::size_t, 2>{3, 1}));
  // Bare ears hear a plane wave 2 a sin(theta)/c apart; at 20 m the sphere of the wave changes that by
  // (a/r)^2 = 2e-5 of it.
  EXPECT_EQ(results.channel_interaural_known(0, 0), 1);
  EXPECT_NEAR(results.channel_side_angle_deg(0, 0), 30, 0.02);
  EXPECT_NEAR(results.channel_interaural_time_s(0, 0),
              2 * head_radius_m * std::sin(pi / 6) / results.sound_speed_m_s, 1e-7);
  EXPECT_NEAR(results.channel_interaural_coherence(0, 0), 1, 1e-3);
  // One ear is 8.7 cm nearer than the other, of 20 m: 0.04 dB.
  EXPECT_NEAR(results.channel_interaural_level_db(0, 0), 0.04, 0.01);
  EXPECT_EQ(results.channel_interaural_known(1, 0), 1) << "muted as drawn, but a preset plays it";
  EXPECT_NEAR(results.channel_side_angle_deg(1, 0), -60, 0.02);
  EXPECT_EQ(results.channel_interaural_known(2, 0), 0) << "muted in every preset";
  EXPECT_EQ(results.channel_side_angle_deg(2, 0), 0);
  // As drawn, mono is the first channel alone.
  EXPECT_NEAR(results.side_angle_deg(0, 0), results.channel_side_angle_deg(0, 0), 1e-9);
}

// The field hears a sphere that carries the ears at its sides, so half their distance is its radius: the same
// source is at the same angle to a small head and to a large one. Within the scale's quarter of a degree, and
// as much for a source at 20 m that the scale takes for a far one.
TEST(TwoEars, OnASphereOfAnySizeGiveTheSameSide) {
  for (const char* spacing : {"150 mm", "175 mm", "200 mm"}) {
    const Results results =
        predict(scene_of("ear_spacing: " + std::string(spacing) +
                         "\nseats: {a: {head: [0, 0, 1], head_shape: sphere}}\n"
                         "drivers: {right: {model: mid_100, position: " +
                         location(45) +
                         ", aim: {seat: a}}}\nchannels: {all: {drives: [right]}}\n"
                         "compute: {frequencies: {from: 20 Hz, to: 20 kHz, per_octave: 24}}\n"));
    EXPECT_NEAR(results.side_angle_deg(0, 0), 45, 0.5) << spacing;
  }
}

TEST(TwoEars, GiveNoSideToAChannelThatPlaysElsewhere) {
  const Results results = predict(scene_of(scene_text(
      "  first: {drives: [right], highpass: {family: butterworth, order: 8, frequency: 6 kHz}}\n"
      "  second: {drives: [left], lowpass: {family: butterworth, order: 8, frequency: 80 Hz}}\n"
      "  third: {drives: [ahead], highpass: {family: linkwitz-riley, order: 4, frequency: 300 Hz}}\n")));
  EXPECT_EQ(results.channel_interaural_known(0, 0), 0) << "a tweeter's";
  EXPECT_EQ(results.channel_interaural_known(1, 0), 0) << "a subwoofer's";
  EXPECT_EQ(results.channel_interaural_known(2, 0), 1) << "a centre's";
  EXPECT_NEAR(results.channel_side_angle_deg(2, 0), 0, 1e-6);
}

}  // namespace
}  // namespace cabinfield::test
