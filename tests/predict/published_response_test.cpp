// A published response from the scene's text to the pressure at an ear.
#include <gtest/gtest.h>

#include <cmath>

#include "predict/prediction.h"
#include "scene/scene_text.h"

namespace cabinfield {
namespace {

const std::vector<double> asked_hz{20, 150, 300, 1000, 2000, 4000, 9000, 18000};

/// A midbass in the floor of a hall, the left ear 1 m above its middle, no reflections: half space, on axis.
std::string hall(const std::string& response, const std::string& driver, const std::string& channel = "") {
  return R"(
cabin: {box: {length: 40 m, width: 40 m, height: 20 m}}
seats: {one: {head: [20, 0.0875, 1]}}
models:
  own:
    thiele_small: {Fs: 62 Hz, Qes: 0.55, Qms: 4.5, Re: 3.3 ohm, Le: 0.25 mH, Sd: 137 cm2, Mms: 14.2 g}
    coils: 2
    )" + response +
         R"(
drivers: {mid: {model: own, position: [20, 0, 0], surface: floor)" +
         driver +
         R"(}}
channels: {all: {drives: [mid])" +
         channel +
         R"(}}
compute: {field: images, image_order: 0, frequencies: {list: [20 Hz, 150 Hz, 300 Hz, 1 kHz, 2 kHz, 4 kHz, 9 kHz, 18 kHz]}}
)";
}

const std::string table =
    "response: [[100 Hz, 90 dB], [200 Hz, 91 dB], [300 Hz, 92 dB], [1 kHz, 89 dB], [1990 Hz, 89 dB], "
    "[2 kHz, 95 dB], [4 kHz, 94 dB], [9 kHz, 70 dB], [18 kHz, 55 dB]]";

Results predicted(const std::string& text) { return predict(test::scene_of(text)); }

TEST(PublishedResponse, EqualsTheOnAxisResponseInHalfSpace) {
  const Results results = predicted(hall(table, ""));
  const std::vector<double> expected{0, 0, 92, 89, 95, 94, 70, 55};
  for (std::size_t f = 2; f < asked_hz.size(); ++f) {
    const Complex pressure = results.transfer_pa_s_m3(0, 0, 0, f) * results.volume_velocity_m3_s(0, f) * 2.83;
    // The pattern on axis is 1 to 1e-10, the sum over paths is kept to 1e-12.
    EXPECT_NEAR(20 * std::log10(std::abs(pressure) / 20e-6), expected[f], 1e-6) << asked_hz[f];
  }
}

TEST(PublishedResponse, ScalesTheOutputOfAnyLoadingButNotTheExcursion) {
  const Results baffle_with = predicted(hall(table, "")), baffle = predicted(hall("", ""));
  for (const std::string loading :
       {", loading: {sealed: 8 L}", ", loading: {vented: {volume: 20 L, tuning: 50 Hz}}",
        ", loading: {door: {volume: 30 L, leak: 20 cm2}}"}) {
    const Results with = predicted(hall(table, loading)), without = predicted(hall("", loading));
    for (std::size_t f = 0; f < asked_hz.size(); ++f) {
      const Complex ratio = with.volume_velocity_m3_s(0, f) / without.volume_velocity_m3_s(0, f);
      const Complex same = baffle_with.volume_velocity_m3_s(0, f) / baffle.volume_velocity_m3_s(0, f);
      EXPECT_LT(std::abs(ratio - same), 1e-12 * std::abs(same)) << loading << " " << asked_hz[f];
      EXPECT_EQ(with.excursion_m(0, f), without.excursion_m(0, f));
      EXPECT_EQ(with.impedance_ohm(0, f), without.impedance_ohm(0, f));
      EXPECT_EQ(with.transfer_pa_s_m3(0, 0, 1, f), without.transfer_pa_s_m3(0, 0, 1, f));
    }
  }
}

TEST(PublishedResponse, IsForTheMeasuredCoilConnection) {
  // Two coils in parallel instead of series give four times the pressure from the same volts at low
  // frequencies; what the response has over the circuit stays.
  const std::string parallel = ", wiring: {coils: parallel}";
  const Results series = predicted(hall(table, "")), series_plain = predicted(hall("", ""));
  const Results joined = predicted(hall(table, "", parallel)),
                joined_plain = predicted(hall("", "", parallel));
  for (std::size_t f = 0; f < asked_hz.size(); ++f) {
    const Complex a = series.volume_velocity_m3_s(0, f) / series_plain.volume_velocity_m3_s(0, f);
    const Complex b = joined.volume_velocity_m3_s(0, f) / joined_plain.volume_velocity_m3_s(0, f);
    EXPECT_LT(std::abs(a - b), 1e-12 * std::abs(a));
  }
}

TEST(PublishedResponse, FarFromTheCircuitIsNoted) {
  const std::string quiet = "response: [[100 Hz, 70 dB], [200 Hz, 72 dB], [2 kHz, 74 dB]]";
  auto remarks = [](const std::string& text) {
    std::string all;
    for (const std::string& note : test::scene_of(text).notes) all += note + "\n";
    return all;
  };
  EXPECT_NE(remarks(hall(quiet, "")).find("mid: from 100 to 200 Hz the response of model 'own' is"),
            std::string::npos);
  EXPECT_EQ(remarks(hall(table, "")).find("lies"), std::string::npos);
}

}  // namespace
}  // namespace cabinfield
