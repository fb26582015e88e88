// Scenes that are legal and cannot be real: each draws a warning that says so, and the sound one beside it
// none.
#include <gtest/gtest.h>

#include "scene/scene_text.h"

namespace cabinfield::test {
namespace {

struct Parts {
  std::string cabin = "box: {length: 2.0 m, width: 1.4 m, height: 1.1 m}";
  std::string leak = "120 cm2";
  std::string passenger = "{mirror_of: driver}";
  std::string model = "midbass_165";
  std::string sub_position = "[0.16, -0.4, 0]", sub_surface = "floor";
  std::string box = "{volume: 30 L, tuning: 35 Hz, port_diameter: 76 mm}";
  std::string left = "highpass: {frequency: 80 Hz}";
  std::string low =
      "lowpass: {frequency: 80 Hz}, highpass: {order: 2, family: butterworth, frequency: 25 Hz}";
  std::string listen = "{driver: 1}";
};

std::string warnings(const Parts& parts) {
  return warnings_of("cabin:\n  " + parts.cabin +
                     "\n  materials: {all: carpet}\n  leaks: [{surface: rear, area: " + parts.leak +
                     ", depth: 30 mm}]\n"
                     "seats:\n  driver: {head: [1.5, 0.4, 0.9]}\n  passenger: " +
                     parts.passenger + "\ndrivers:\n  mid: {model: " + parts.model +
                     ", position: [0, -0.25, 0.4], surface: front, loading: {sealed: 8 L}}\n  sub: {model: "
                     "sub_250_single, position: " +
                     parts.sub_position + ", surface: " + parts.sub_surface +
                     ", loading: {box: b}}\n"
                     "boxes: {b: {vented: " +
                     parts.box + "}}\nchannels:\n  left: {drives: [mid], " + parts.left +
                     "}\n  low: {drives: [sub], " + parts.low + "}\npresets: {one: {listen: " + parts.listen +
                     "}}\n");
}

void expect_warning(const Parts& parts, const std::string& words) {
  const std::string said = warnings(parts);
  EXPECT_NE(said.find(words), std::string::npos) << words << "\nnot in:\n" << said;
}

TEST(Plausible, ASoundSceneDrawsNoWarning) { EXPECT_EQ(warnings({}), ""); }

TEST(Plausible, ACabinOfAHall) {
  expect_warning({.cabin = "box: {length: 50 m, width: 50 m, height: 50 m}"}, "check the units");
}

TEST(Plausible, ALeakOfAWholeWall) { expect_warning({.leak = "1.54 m2"}, "openings in surface 'rear'"); }

TEST(Plausible, TwoSeatsOrDriversInOnePlace) {
  expect_warning({.passenger = "{head: [1.5, 0.4, 0.9]}"},
                 "seats 'driver' and 'passenger' are at the same position");
  expect_warning({.sub_position = "[0, -0.25, 0.4]", .sub_surface = "front"},
                 "drivers 'mid' and 'sub' are at the same position");
}

TEST(Plausible, ParametersOfNoDriver) {
  expect_warning(
      {.model = "{thiele_small: {Fs: 100 Hz, Qes: 0.02, Qms: 50, Vas: 500 L, Re: 0.1 ohm, Sd: 300 cm2}}"},
      "efficiency of");
  expect_warning(
      {.model = "{thiele_small: {Fs: 20 kHz, Qes: 0.55, Qms: 4.5, Vas: 12.4 L, Re: 3.3 ohm, Sd: 137 cm2}}"},
      "efficiency of");
  expect_warning(
      {.model = "{thiele_small: {Fs: 20 Hz, Qes: 0.55, Qms: 4.5, Vas: 500 L, Re: 3.3 ohm, Sd: 1 cm2}}"},
      "air that its cone carries");
}

TEST(Plausible, PortsLargerThanTheirBox) {
  expect_warning({.box = "{volume: 0.1 L, tuning: 5 Hz, port_diameter: 500 mm, ports: 8}"},
                 "larger than their box");
  expect_warning({.box = "{volume: 30 L, port_length: 3 m, port_diameter: 500 mm, ports: 8}"},
                 "larger than their box");
}

TEST(Plausible, SettingsThatSilenceOrClip) {
  expect_warning({.left = "delay: 100 ms"}, "delayed by 100 ms");
  std::string bands = "equaliser: [";
  for (int band = 0; band < 64; ++band) bands += "{shape: peak, frequency: 1 kHz, gain: 20 dB, q: 2}, ";
  // At 1015.9 Hz, the nearest frequency of 24 an octave from 10 Hz. By hand, A = 10^(20/40), s = j 1.0159:
  // |s^2 + s A/Q + 1| / |s^2 + s/(A Q) + 1| is 9.81, or 19.83 dB a band; 64 bands give 1269 dB.
  expect_warning({.left = bands + "]"}, "raise 1016 Hz by 1269 dB");
  expect_warning({.left = "gain: 20 dB, equaliser: [{shape: peak, frequency: 1 kHz, gain: 3 dB}]"},
                 "by 23 dB");
  expect_warning(
      {.low = "lowpass: {frequency: 80 Hz}, highpass: {order: 2, family: butterworth, frequency: 5 kHz}"},
      "high-pass at 5000 Hz is above its low-pass at 80 Hz");
}

TEST(Plausible, APresetThatServesNoSeat) {
  expect_warning({.listen = "{driver: 0}"}, "every seat under listen has the weight 0");
}

}  // namespace
}  // namespace cabinfield::test
