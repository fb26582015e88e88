// The plan around the sound as `check` judges it: the pickup's plan and its draft, and small plans of one
// flaw each.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "channel/channel.h"
#include "plan/judge_system.h"
#include "predict/prediction.h"
#include "scene/scene_text.h"
#include "support/judged_plan.h"
#include "system/limits.h"
#include "system/loudness.h"

namespace cabinfield::test {
namespace {

Results places_of(const std::string& file) {
  const SceneFile read = read_scene_file(std::string(CABINFIELD_SOURCE_DIR "/scenes/") + file);
  if (!read.scene) throw std::runtime_error(to_string(read.faults.faults().front()));
  return predict_without_field(*read.scene);
}

TEST(PickupPlan, TheDraftHasItsMistakesAndNoOther) {
  const Results results = places_of("pickup_plan_draft.yaml");
  EXPECT_EQ(broken(results.checks), (Broken{{"mounting depth", "midbass_right"},
                                            {"load", "sub"},
                                            {"protection", "second"},
                                            {"amplifier output", "front_right_midbass"},
                                            // The same load drives both cones too far.
                                            {"excursion", "sub_left"},
                                            {"excursion", "sub_right"}}));
}

TEST(PickupPlan, MendedItHolds) {
  const Results results = places_of("pickup_plan.yaml");
  EXPECT_EQ(broken(results.checks), Broken{});
  EXPECT_EQ(cautions(results.checks).size(), 5U);
  EXPECT_GT(results.system.playing_hours, 1);
}

/// A scene of one driver on a channel, and what is said of it besides.
std::string with_driver(const std::string& driver, const std::string& rest) {
  return "seats: {driver: {head: [1.4, -0.4, 1.0]}}\n"
         "drivers:\n  one: {model: midbass_165, position: [0.7, -0.7, 0.3]" +
         driver + "}\n" + rest;
}

TEST(Fit, EachMarginIsWhatIsLeft) {
  // midbass_165: flange 165 mm, magnet 90 mm, depth 65 mm, Xmax 5.5 mm.
  const auto checks =
      checks_of(with_driver(", surface: door, setback: 4 mm, grille: {open_area: 50 %, gap: 12 mm}, opening: "
                            "{cutout: 150 mm, depth: 72 mm, flange: 170 mm, magnet: 86 mm, behind: glass}",
                            ""));
  EXPECT_NEAR(check_of(checks, "flange", "one").margin.value().value, 0.005, 1e-12);
  EXPECT_NEAR(check_of(checks, "magnet", "one").margin.value().value, -0.004, 1e-12);
  EXPECT_NEAR(check_of(checks, "magnet clearance", "one").margin.value().value, 0.072 - 0.004 - 0.065 - 0.005,
              1e-12);
  EXPECT_NEAR(check_of(checks, "grille", "one").margin.value().value, 0.012 - 0.0055 - 0.005, 1e-12);
  EXPECT_EQ(broken(checks), (Broken{{"magnet", "one"}, {"magnet clearance", "one"}}));
}

TEST(Fit, ASpacerGivesDepth) {
  const auto checks = checks_of(with_driver(", opening: {cutout: 150 mm, depth: 60 mm, spacer: 12 mm}", ""));
  EXPECT_NEAR(check_of(checks, "mounting depth", "one").margin.value().value, 0.007, 1e-12);
}

TEST(Fit, ABoxHoldsWhatIsSaidOrNot) {
  // 300 x 300 x 300 mm outside, 20 mm boards: 17.576 L inside; the driver takes 0.4 L, braces 1 L.
  auto box = [](const char* net) {
    return with_driver(", loading: {box: tail}",
                       std::string("boxes: {tail: {sealed: ") + net +
                           ", outside: {at: [2, 0, 0], size: [0.3, 0.3, 0.3]}, board: 20 mm, "
                           "bracing: 1 L}}\n");
  };
  EXPECT_NEAR(check_of(checks_of(box("15 L")), "box volume", "tail").margin.value().value, 17.576 - 1.4 - 15,
              1e-9);
  EXPECT_EQ(check_of(checks_of(box("15 L")), "box volume", "tail").margin.value().unit, MarginUnit::litre);
  EXPECT_EQ(broken(checks_of(box("17 L"))), (Broken{{"box volume", "tail"}}));
}

TEST(Fit, APortTooLongForItsBoxIsTold) {
  auto box = [](const char* tuning) {
    return with_driver(
        ", loading: {box: tail}",
        std::string("boxes: {tail: {vented: {volume: 15 L, tuning: ") + tuning +
            ", port_diameter: 68 mm}, outside: {at: [2, 0, 0], size: [0.4, 0.3, 0.3]}, board: 15 mm}}\n");
  };
  EXPECT_EQ(broken(checks_of(box("45 Hz"))), Broken{});
  EXPECT_EQ(broken(checks_of(box("28 Hz"))), (Broken{{"port", "tail"}}));
}

const char* const two_channels =
    "seats: {driver: {head: [1.4, -0.4, 1.0]}}\n"
    "drivers:\n"
    "  left: {model: midbass_165, position: [0.7, -0.7, 0.3]}\n"
    "  right: {mirror_of: left}\n"
    "channels:\n"
    "  left: {drives: [left], highpass: {frequency: 70 Hz}ONE}\n"
    "  right: {drives: [right], highpass: {frequency: 70 Hz}TWO}\n";

std::string two(const std::string& one, const std::string& other, const std::string& rest) {
  std::string text = two_channels;
  text.replace(text.find("ONE"), 3, one);
  text.replace(text.find("TWO"), 3, other);
  return text + rest;
}

TEST(Outputs, WhatIsLeftOpenIsProposedAndWhatIsDoubledIsTold) {
  const std::string amplifiers =
      "amplifiers: {big: {model: six_channel_75}, small: {model: two_channel_ab_60}}\n";
  const Results open = predict_without_field(scene_of(two("", "", amplifiers)));
  EXPECT_EQ(broken(open.checks), Broken{});
  ASSERT_EQ(open.system.feed.size(), 2U);
  for (std::size_t c : {0, 1}) {
    EXPECT_TRUE(open.system.feed[c].proposed);
    EXPECT_EQ(open.system.feed[c].output, static_cast<int>(c) + 1);
    EXPECT_EQ(open.system.feed[c].amplifier, open.system.feed[0].amplifier) << "one unit will do";
  }
  const auto doubled = checks_of(
      two(", amplifier: {unit: small, channel: 1}", ", amplifier: {unit: small, channel: 1}", amplifiers));
  EXPECT_EQ(broken(doubled), (Broken{{"outputs", "small"}}));
}

TEST(Outputs, AUnitThatIsNamedWithoutAChannelIsKept) {
  const Results results = predict_without_field(
      scene_of(two(", amplifier: {unit: big}", "",
                   "amplifiers: {small: {model: two_channel_ab_60}, big: {model: six_channel_75}}\n")));
  EXPECT_EQ(results.system.amplifier[static_cast<std::size_t>(results.system.feed[0].amplifier)], "big");
}

TEST(Load, WhatWasNotTriedIsNotRuledOut) {
  auto load = [](const std::string& model, const std::string& other) {
    return check_of(
        checks_of("drivers:\n"
                  "  one: {model: " +
                  model + ", position: [2, 0, 0.3], loading: {sealed: 30 L}}\n  other: {model: " + other +
                  ", position: [2, 0.5, 0.3], loading: {sealed: 30 L}}\n"
                  "channels: {bass: {drives: [one, other], wiring: {coils: parallel}, amplifier: "
                  "{unit: amp, channel: 1}}}\n"
                  "amplifiers: {amp: {model: {channels: 1, ratings: [{load: 16 ohm, power: 90 "
                  "W}]}}}\n"),
        "load", "bass");
  };
  const Check alike = load("sub_200_dual", "sub_200_dual"), unlike = load("sub_200_dual", "sub_300_dual");
  EXPECT_EQ(unlike.outcome, Outcome::violated);
  EXPECT_NE(unlike.words.find("differ, so no other wiring was tried"), std::string::npos) << unlike.words;
  EXPECT_EQ(alike.words.find("differ, so"), std::string::npos) << alike.words;
}

TEST(Outputs, OnlyNeighboursAreBridged) {
  // Four 90 W channels, 280 W bridged; sub_300_dual takes more than one gives. Neighbours are the pairs
  // (common practice, no source).
  auto plan = [](const std::string& tweeters, const std::string& sub) {
    return "drivers:\n"
           "  left: {model: midbass_165, position: [0.7, -0.7, 0.3]}\n"
           "  right: {mirror_of: left}\n"
           "  sub: {model: sub_300_dual, position: [2, 0, 0.3], loading: {sealed: 30 L}}\n"
           "channels:\n"
           "  left: {drives: [left], highpass: {frequency: 70 Hz}" +
           tweeters +
           "  sub: {drives: [sub], wiring: {coils: series}, highpass: {frequency: 25 Hz}, lowpass: "
           "{frequency: 80 Hz}" +
           sub + "}\namplifiers: {amp: {model: four_channel_90}}\n";
  };
  auto on = [](int one, int other) {
    return fmt::format(
        ", amplifier: {{unit: amp, channel: {}}}}}\n"
        "  right: {{drives: [right], highpass: {{frequency: 70 Hz}}, amplifier: {{unit: amp, channel: "
        "{}}}}}\n",
        one, other);
  };
  const FeedRow apart = predict_without_field(scene_of(plan(on(1, 3), ""))).system.feed[2];
  EXPECT_EQ(apart.output, 2) << "2 and 4 are not a pair";
  EXPECT_EQ(apart.bridged_with, 0);
  const FeedRow paired = predict_without_field(scene_of(plan(on(1, 2), ""))).system.feed[2];
  EXPECT_EQ(paired.output, 3);
  EXPECT_EQ(paired.bridged_with, 4);
  // All left open: two that take one each do not break the pair that the third needs.
  const std::string open = "}\n  right: {drives: [right], highpass: {frequency: 70 Hz}}\n";
  const auto feed = predict_without_field(scene_of(plan(open, ""))).system.feed;
  EXPECT_EQ(feed[0].output, 1);
  EXPECT_EQ(feed[1].output, 2);
  EXPECT_EQ(feed[2].bridged_with, 4);

  const std::string bridged = ", amplifier: {unit: amp, channel: 1, bridged_with: 4}";
  EXPECT_NE(warnings_of(plan(on(2, 3), bridged))
                .find("channel 'sub': channels 1 and 4 of amplifier 'amp' are "
                      "not a pair"),
            std::string::npos);
  EXPECT_EQ(warnings_of(plan(on(1, 2), ", amplifier: {unit: amp, channel: 4, bridged_with: 3}")).find("pair"),
            std::string::npos);
}

TEST(Outputs, AmongTooManyUnitsNoneIsProposedAndNoneIsMissing) {
  std::string units = "amplifiers:\n";
  for (int u = 0; u < 13; ++u) units += fmt::format("  unit_{}: {{model: two_channel_ab_60}}\n", u);
  const Results results =
      predict_without_field(scene_of(two("", ", amplifier: {unit: unit_3, channel: 2}", units)));
  EXPECT_EQ(broken(results.checks), Broken{});
  EXPECT_NE(check_of(results.checks, "caution", "outputs").words.find("outputs of left yourself"),
            std::string::npos);
  EXPECT_TRUE(results.system.feed[0].proposed) << "left open";
  EXPECT_EQ(results.system.feed[0].amplifier, -1);
  EXPECT_EQ(results.system.feed[1].amplifier, 3);
  EXPECT_THROW(check_of(checks_of(two(", amplifier: {unit: unit_3, channel: 1}",
                                      ", amplifier: {unit: unit_3, channel: 2}", units)),
                        "caution", "outputs"),
               std::out_of_range)
      << "nothing is left open";
}

TEST(Outputs, ChannelsThatShareAProcessorOutputAreSetAlike) {
  const std::string processor = "processor: {model: eight_output}\n";
  EXPECT_EQ(broken(checks_of(two(", processor_output: 1", ", processor_output: 1", processor))), Broken{});
  EXPECT_EQ(broken(checks_of(two(", processor_output: 1", ", processor_output: 1, gain: -3 dB", processor))),
            (Broken{{"processor output", "right"}}));
  const std::string band = ", processor_output: 1, equaliser: [{shape: peak, frequency: 1 kHz, gain: 3 dB}]",
                    other = ", processor_output: 1, equaliser: [{shape: peak, frequency: 1 kHz, gain: 4 dB}]";
  EXPECT_EQ(broken(checks_of(two(band, band, processor))), Broken{});
  EXPECT_EQ(broken(checks_of(two(band, other, processor))), (Broken{{"processor output", "right"}}));
}

TEST(Signal, WhatTheFactoryDidIsUndoneAndWhatMustSoundSounds) {
  const std::string processor =
      "processor:\n  model: eight_output\n"
      "  inputs: {left: {from: door, kind: speaker, band: [150 Hz, 20 kHz], shaped: [equaliser, delay]}}\n"
      "  still_sounds: {chimes: no, parking: yes}\n";
  EXPECT_EQ(broken(checks_of(two("", "", processor))),
            (Broken{{"undone", "left"}, {"still sounds", "chimes"}, {"input band", "processor"}}));
}

TEST(Signal, MoreBandsOrDelayThanTheProcessorHasAreTold) {
  auto processed = [](const std::string& channel, const std::string& model) {
    return broken(
        checks_of(two("", channel, "processor: {model: {inputs: 2, outputs: 4, " + model + "}}\n")));
  };
  const std::string band = "{shape: peak, frequency: 1 kHz, gain: 3 dB, q: 2}",
                    bands = ", equaliser: [" + band + ", " + band + ", " + band + "]";
  EXPECT_EQ(processed(bands, "bands: 3"), Broken{});
  EXPECT_EQ(processed(bands, "bands: 2"), (Broken{{"equaliser bands", "right"}}));
  EXPECT_EQ(processed(bands, "bands: 0"), (Broken{{"equaliser bands", "right"}}));
  EXPECT_EQ(processed(bands, "delay_step: 0.1 ms"), Broken{}) << "not said";
  // 10 ms in steps of 0.0104167 ms are set as 10.00003 ms.
  const std::string steps = "delay_step: 0.0104167 ms, longest_delay: 10 ms";
  EXPECT_EQ(processed(", delay: 10 ms", steps), Broken{});
  EXPECT_EQ(processed(", delay: 10.02 ms", steps), (Broken{{"longest delay", "right"}}));
}

TEST(LoadSpace, OverlapsAndWhatSticksOutAreTold) {
  auto space = [](const char* at) {
    return std::string(
               "load_space:\n  rooms: {boot: {at: [2, 0, 0], size: [1, 1, 0.5]}}\n"
               "  keep_free: {wheel: {at: [2.3, 0, 0], size: [0.3, 0.6, 0.2]}}\n"
               "  things: {bag: {at: [1.8, 0.3, 0], size: [0.2, 0.2, 0.2], mass: 10 kg}, case: {at: ") +
           at + ", size: [0.2, 0.2, 0.2], mass: 6 kg}}\n  axles: {front: 0, rear: 2.4}\n";
  };
  EXPECT_EQ(broken(checks_of(space("[1.8, -0.2, 0]"))), Broken{});
  EXPECT_EQ(broken(checks_of(space("[1.9, 0.2, 0]"))), (Broken{{"overlap", "bag"}}));
  EXPECT_EQ(broken(checks_of(space("[1.8, -0.45, 0]"))), (Broken{{"room", "case"}}));
  EXPECT_EQ(broken(checks_of(space("[2.2, -0.3, 0]"))), (Broken{{"keep free", "case"}}));
  const SystemReport report = predict_without_field(scene_of(space("[1.2, -0.2, 0]"))).system;
  EXPECT_NEAR(report.total_kg, 16, 1e-12);
  EXPECT_NEAR(report.rear_kg, 10 * 1.8 / 2.4 + 6 * 0.5, 1e-12);
}

TEST(Cautions, ComeWhereTheyApplyAndOnlyThere) {
  const auto quiet = cautions(checks_of("seats: {driver: {head: [1.4, -0.4, 1.0]}}\n"));
  EXPECT_TRUE(quiet.empty());
  const auto plain = cautions(checks_of(with_driver("", "")));
  EXPECT_EQ(plain.size(), 1U) << testing::PrintToString(plain);  // who decides
  const auto door = cautions(checks_of(with_driver(", loading: {door: {volume: 30 L, leak: 20 cm2}}", "")));
  EXPECT_TRUE(any_says(door, "pressure sensors"));
  EXPECT_FALSE(any_says(door, "curtain"));
  const std::string cold =
      "supply: {batteries: {start: {chemistry: agm, capacity: 70 Ah}, second: {chemistry: lifepo4, capacity: "
      "50 Ah}},\n"
      "  cables: [{from: start, to: second, area: 35 mm2, length: 4 m, fuse_start: 150 A}]}\n"
      "vehicle: {high_voltage: yes, seats_touched: yes}\n";
  const auto judged = checks_of(cold);
  const auto supplied = cautions(judged);
  for (const char* what : {"below 0", "high-voltage", "pretensioners"})
    EXPECT_TRUE(any_says(supplied, what)) << what;
  EXPECT_EQ(broken(judged), (Broken{{"fuse", "start to second"}, {"parallel batteries", "second"}}));
  EXPECT_NE(check_of(judged, "fuse", "start to second").words.find("450 mm"), std::string::npos);
  EXPECT_EQ(check_of(judged, "battery mounting", "second").outcome, Outcome::caution)
      << "no mounting is given";
  const std::set<std::string> once(supplied.begin(), supplied.end());
  EXPECT_EQ(once.size(), supplied.size());
}

// Lead and lithium-iron need different charging voltages (common practice, no source).
TEST(Batteries, UnlikeChemistriesInParallelOverAnyNodeViolateTheRule) {
  auto violated = [](const std::string& supply_rest, const char* battery) {
    const std::string batteries =
        "amplifiers: {amp: {model: mono_600}}\nsupply:\n  batteries: {start: {chemistry: agm, capacity: 70 "
        "Ah}, second: {chemistry: lifepo4, capacity: 50 Ah}, third: {chemistry: gel, capacity: 50 Ah}}\n";
    return broken(checks_of(batteries + supply_rest)).contains({"parallel batteries", battery});
  };
  const std::string cable = ", area: 35 mm2, length: 1 m, fuse_start: 150 A, fuse_end: 150 A}";
  for (const char* node : {"bus", "amp", "alternator"})
    EXPECT_TRUE(violated("  junctions: [bus]\n  cables: [{from: start, to: " + std::string(node) + cable +
                             ", {from: second, to: " + node + cable + "]\n",
                         "second"))
        << node;
  EXPECT_FALSE(violated("  junctions: [bus]\n  cables: [{from: start, to: bus" + cable +
                            ", {from: third, to: bus" + cable + "]\n",
                        "third"))
      << "both are lead";
  EXPECT_FALSE(
      violated("  junctions: [bus]\n  chargers: {dc: {from: bus, to: second, current: 30 A}}\n"
               "  cables: [{from: start, to: bus" +
                   cable + ", {from: second, to: amp" + cable + "]\n",
               "second"))
      << "a charger isolates them";
}

// Surface names decide nothing: a driver anywhere on the car draws the caution until the scene states that it
// was looked up.
TEST(Cautions, AirbagsConcernEveryDriverOnTheCarWhateverItsSurfaceIsCalled) {
  auto warns = [](const std::string& driver) {
    return any_says(cautions(checks_of(with_driver(driver, ""))), "one: airbags");
  };
  for (const char* surface : {"pillar_left", "montant_gauche", "x"})
    EXPECT_TRUE(warns(fmt::format(", surface: {}", surface))) << surface;
  EXPECT_FALSE(warns(", surface: x, opening: {airbag_checked: yes}"));
  EXPECT_TRUE(warns(", surface: x, opening: {airbag_checked: no}"));
  const std::string pod =
      "cabin: {box: {length: 2 m, width: 1.6 m, height: 1.2 m}}\n"
      "seats: {driver: {head: [1.4, 0.4, 1.0]}}\n"
      "drivers: {one: {model: tweeter_25, position: [0.3, 0.2, 0.9], pod_radius: 30 mm, aim: {seat: driver}, "
      "loading: built_in}}\n";
  EXPECT_TRUE(any_says(cautions(checks_of(pod)), "one: airbags")) << "a pod is fixed to trim";
}

TEST(Cautions, ADriverOnItsOwnBoxIsOnNoTrim) {
  const auto said = cautions(checks_of(
      with_driver(", surface: tail.front, loading: {box: tail}", "boxes: {tail: {sealed: 15 L}}\n")));
  EXPECT_FALSE(any_says(said, "one: airbags"));
}

/// A channel of one subwoofer in free air, 1 m away, at a gain: every limit by hand.
void expect_limits_by_hand(double gain_db, std::size_t least_kinds) {
  // In free air, one driver on one amplifier channel: 1 m away.
  const std::string text =
      "seats: {driver: {head: [1, 0, 1]}}\n"
      "drivers: {sub: {model: sub_200_dual, position: [0, 0, 1], loading: {sealed: 30 L}}}\n"
      "channels: {bass: {drives: [sub], wiring: {coils: series}, gain: " +
      std::to_string(gain_db) +
      " dB, amplifier: {unit: amp, "
      "channel: 1}}}\n"
      "amplifiers: {amp: {model: mono_600}}\n"
      "compute: {frequencies: {from: 20 Hz, to: 500 Hz, per_octave: 24}}\n";
  const Scene scene = scene_of(text);
  const Results results = predict(scene);
  const LimitReport& limits = results.limits;
  ASSERT_EQ(limits.sine_db.shape(), (std::array<std::size_t, 4>{1, 1, 1, results.frequency_hz.size()}));
  const double xmax_m = 0.009;
  double full_scale_v = 0;
  for (std::size_t f = 0; f < results.frequency_hz.size(); ++f)
    full_scale_v = std::max(full_scale_v, output_reach(scene.system.amplifiers[0].amplifier, false,
                                                       std::abs(results.impedance_ohm(0, f)), 13.8)
                                              .voltage_v);
  std::set<int> kinds;
  for (std::size_t f = 0; f < results.frequency_hz.size(); ++f) {
    const double modulus = std::abs(results.impedance_ohm(0, f));
    const std::array<double, 4> volts{
        full_scale_v * std::pow(10, gain_db / 20.0),
        output_reach(scene.system.amplifiers[0].amplifier, false, modulus, 13.8).voltage_v,
        std::sqrt(250 / scene.drivers[0].thiele_small.Re_ohm) * modulus,
        xmax_m / std::abs(results.excursion_m(0, f))};
    const std::array<LimitKind, 4> kind{LimitKind::signal, LimitKind::amplifier_voltage, LimitKind::coil_heat,
                                        LimitKind::excursion};
    const auto least = std::min_element(volts.begin(), volts.end()) - volts.begin();
    EXPECT_EQ(limits.sine_kind(0, 0, f), static_cast<int>(kind[static_cast<std::size_t>(least)]))
        << results.frequency_hz[f];
    kinds.insert(limits.sine_kind(0, 0, f));
    // One channel, drawn at the terminal voltage and the gain.
    const double heard =
        (std::norm(results.channel_pa(0, 0, 0, 0, f)) + std::norm(results.channel_pa(0, 0, 0, 1, f))) / 2;
    const double drawn_v = results.terminal_voltage_v.value() * std::pow(10, gain_db / 20.0);
    const double expected =
        10 * std::log10(heard / 4e-10) + 20 * std::log10(volts[static_cast<std::size_t>(least)] / drawn_v);
    EXPECT_NEAR(limits.sine_db(0, 0, 0, f), expected, 1e-6);
  }
  EXPECT_GE(kinds.size(), least_kinds);
  // A single mono channel: both alike, all of it, so that the system is the channel.
  for (std::size_t b = 0; b < limits.third_octave_hz.size(); ++b)
    EXPECT_NEAR(limits.system_music_db(0, 0, b), limits.music_db(0, 0, 0, b), 1e-6);
  EXPECT_LE(limits.hours(0, 0), 24);
}

TEST(Loudest, IsTheLimitsVoltageTimesWhatAVoltIsHeardAs) {
  expect_limits_by_hand(3, 2);
  expect_limits_by_hand(-6, 1);  // then the signal ends first
}

/// Two subwoofers in free air; what is written of each channel, in one preset.
LimitReport loudest_of_two(const std::string& one, const std::string& other) {
  return predict(
             scene_of("seats: {driver: {head: [1, 0, 1]}}\n"
                      "drivers:\n"
                      "  one: {model: sub_200_dual, position: [0, 0, 1], loading: {sealed: 30 L}}\n"
                      "  other: {model: sub_200_dual, position: [0, 1, 1], loading: {sealed: 30 L}}\n"
                      "channels:\n"
                      "  one: {drives: [one], wiring: {coils: series}, amplifier: {unit: amp, channel: 1}, " +
                      one +
                      "}\n"
                      "  other: {drives: [other], wiring: {coils: series}, amplifier: {unit: amp, channel: "
                      "2}, " +
                      other +
                      "}\n"
                      "amplifiers: {amp: {model: four_channel_90}}\n"
                      "compute: {frequencies: {from: 20 Hz, to: 500 Hz, per_octave: 24}}\n"))
      .limits;
}

// A share of the signal is a gain: 2 is 20 lg 2 = 6.0206 dB.
TEST(Loudest, AShareOfTheSignalIsAGain) {
  for (double gain_db : {-12.0, 0.0, 3.0}) {
    const std::string quiet = "mute: yes", gain = fmt::format("gain: {} dB", gain_db),
                      lifted = fmt::format("gain: {} dB", gain_db + 20 * std::log10(2.0));
    const LimitReport doubled = loudest_of_two("signal: {left: 1, right: 1}, " + gain, quiet),
                      raised = loudest_of_two("signal: mono, " + lifted, quiet);
    EXPECT_NEAR(doubled.system_music_a_db(0, 0), raised.system_music_a_db(0, 0), 1e-6) << gain_db;
    EXPECT_EQ(doubled.system_music_kind, raised.system_music_kind);
    for (std::size_t b = 0; b < doubled.third_octave_hz.size(); ++b) {
      EXPECT_NEAR(doubled.system_sine_db(0, 0, b), raised.system_sine_db(0, 0, b), 1e-6);
      // The only channel that plays: all of them are never louder than it is.
      EXPECT_NEAR(doubled.system_music_db(0, 0, b), doubled.music_db(0, 0, 0, b), 1e-6) << gain_db;
    }
  }
}

// Half of left minus right, of both alike, is nothing.
TEST(Loudest, WhatIsSilentHoldsNothingDown) {
  const LimitReport alone = loudest_of_two("signal: mono", "mute: yes"),
                    beside = loudest_of_two("signal: mono", "signal: side, gain: 12 dB");
  EXPECT_GT(alone.system_music_a_db(0, 0), 60);
  EXPECT_NEAR(beside.system_music_a_db(0, 0), alone.system_music_a_db(0, 0), 1e-6);
  EXPECT_EQ(beside.system_music_channel, alone.system_music_channel);
  for (std::size_t b = 0; b < alone.third_octave_hz.size(); ++b)
    EXPECT_NEAR(beside.system_sine_db(0, 0, b), alone.system_sine_db(0, 0, b), 1e-6);
}

TEST(Loudest, AWeakBatteryLimitsToWhatItsProtectionLetsPass) {
  const std::string text =
      "seats: {driver: {head: [1, 0, 1]}}\n"
      "drivers: {sub: {model: sub_300_dual, position: [0, 0, 1], loading: {sealed: 30 L}}}\n"
      "channels: {bass: {drives: [sub], wiring: {coils: series}, lowpass: {frequency: 500 Hz}, amplifier: "
      "{unit: amp, "
      "channel: 1}}}\n"
      "amplifiers: {amp: {model: mono_600}}\n"
      "supply:\n  batteries: {one: {chemistry: lifepo4, capacity: 20 Ah, internal_resistance: 10 mohm, "
      "continuous_current: 8 "
      "A, peak_current: 12 A}}\n  cables: [{from: one, to: amp, area: 25 mm2, length: 1 m, fuse_start: 30 "
      "A}]\n"
      "compute: {frequencies: {from: 40 Hz, to: 400 Hz, per_octave: 12}}\n";
  const Scene scene = scene_of(text);
  const Results results = predict(scene);
  const Amplifier& amplifier = scene.system.amplifiers[0].amplifier;
  // 12 A out of 13.2 V behind 10 mohm and the cable.
  const double cable_ohm = results.system.cable_drop_v(0, 0) / results.system.cable_a(0, 0);
  const double draw = 12 * (13.2 - 12 * (0.010 + cable_ohm));
  std::size_t held = 0;
  for (std::size_t f = 0; f < results.frequency_hz.size(); ++f) {
    if (results.limits.sine_kind(0, 0, f) != static_cast<int>(LimitKind::supply)) continue;
    ++held;
    const double heard =
        (std::norm(results.channel_pa(0, 0, 0, 0, f)) + std::norm(results.channel_pa(0, 0, 0, 1, f))) / 2;
    const auto gain = channel_response(scene.presets[0].channels[0], {results.frequency_hz[f]},
                                       scene.computation.sample_rate_hz);
    const double voltage_v =
        results.terminal_voltage_v.value() * std::abs(gain[0]) *
        std::pow(10, (results.limits.sine_db(0, 0, 0, f) - 10 * std::log10(heard / 4e-10)) / 20);
    const Complex load = results.impedance_ohm(0, f);
    const double output_w = voltage_v * voltage_v * load.real() / std::norm(load);
    EXPECT_NEAR(draw_w(amplifier, output_w, results.system.feed[0].power_w, 13.8), draw, 1e-3)
        << results.frequency_hz[f];
  }
  EXPECT_GT(held, 10U);
}

TEST(Loudest, MoreAmplifierIsNeverQuieter) {
  auto level = [](const std::string& model) {
    const std::string text =
        "seats: {driver: {head: [1, 0, 1]}}\n"
        "drivers: {mid: {model: midbass_165, position: [0, 0, 1], loading: {sealed: 10 L}}}\n"
        "channels: {mid: {drives: [mid], highpass: {frequency: 80 Hz}, amplifier: {unit: amp, channel: 1}}}\n"
        "amplifiers: {amp: {model: " +
        model +
        "}}\n"
        "compute: {frequencies: {from: 20 Hz, to: 20 kHz, per_octave: 12}}\n";
    return predict(scene_of(text)).limits;
  };
  const LimitReport small = level("two_channel_ab_60"), large = level("mono_600");
  EXPECT_GE(large.system_music_a_db(0, 0), small.system_music_a_db(0, 0));
  for (std::size_t f = 0; f < small.sine_db.size(); ++f)
    EXPECT_GE(large.sine_db.values()[f], small.sine_db.values()[f] - 1e-9);
}

}  // namespace
}  // namespace cabinfield::test
