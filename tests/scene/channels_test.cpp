// like, groups and presets: who gives what, who adds, who wins.
#include <gtest/gtest.h>

#include "scene/scene_text.h"

namespace cabinfield::test {
namespace {

const std::string four_drivers =
    "seats: {driver: {head: [1.5, -0.4, 1]}, passenger: {mirror_of: driver}}\n"
    "drivers:\n"
    "  a: {model: midbass_165, position: [0, -0.5, 0]}\n"
    "  b: {model: midbass_165, position: [0, 0.5, 0]}\n"
    "  c: {model: tweeter_25, position: [0, -0.5, 1]}\n"
    "  d: {model: sub_250_dual, position: [2, 0.5, 0]}\n";

const ChannelSettings& settings(const Scene& scene, const std::string& preset, const std::string& channel) {
  const auto& list = named(scene.presets, preset).channels;
  for (std::size_t c = 0; c < scene.channels.size(); ++c)
    if (scene.channels[c].name == channel) return list[c];
  throw std::out_of_range(channel);
}

TEST(Like, GivesWhatIsLeftOutButNotTheDrivers) {
  const Scene scene = scene_of(four_drivers +
                               "channels:\n"
                               "  third: {like: second, drives: [c], gain: -1 dB}\n"
                               "  first:\n"
                               "    drives: [a]\n"
                               "    signal: left\n"
                               "    highpass: {family: butterworth, order: 3, frequency: 80 Hz}\n"
                               "    lowpass: {frequency: 3 kHz}\n"
                               "    equaliser: [{shape: peak, frequency: 1 kHz, gain: 3 dB, q: 2}]\n"
                               "    gain: -2 dB\n"
                               "    delay: 1 ms\n"
                               "    polarity: inverted\n"
                               "    mute: yes\n"
                               "  second: {like: first, drives: [b], signal: right, polarity: normal}\n");
  const ChannelSettings second = settings(scene, "as_drawn", "second"),
                        third = settings(scene, "as_drawn", "third");
  EXPECT_EQ(second.signal.left, 0);
  EXPECT_EQ(second.signal.right, 1);
  ASSERT_TRUE(second.highpass && second.lowpass);
  EXPECT_EQ(second.highpass->family, CrossoverFamily::butterworth);
  EXPECT_EQ(second.highpass->order, 3);
  EXPECT_EQ(second.lowpass->order, 4) << "4 where the order is left out";
  ASSERT_EQ(second.equaliser.size(), 1U);
  EXPECT_EQ(second.equaliser[0].gain_db, 3);
  EXPECT_EQ(second.gain_db, -2);
  EXPECT_NEAR(second.delay_s, 1e-3, 1e-18);
  EXPECT_FALSE(second.inverted);
  EXPECT_TRUE(second.mute);
  EXPECT_EQ(third.gain_db, -1);
  EXPECT_EQ(third.signal.right, 1) << "from second, which has it from itself";
  EXPECT_FALSE(third.inverted);
  EXPECT_EQ(named(scene.channels, "second").drivers, std::vector<int>{1});
  EXPECT_EQ(faults_of(four_drivers + "channels: {one: {drives: [a]}, two: {like: one}}\n"),
            "f.yaml:8:32: channel 'two': key 'drives' is missing: the drivers that it feeds\n");
}

TEST(Signal, MixesAsNamed) {
  const Scene scene = scene_of(four_drivers +
                               "channels:\n"
                               "  left: {drives: [a], signal: left}\n"
                               "  plain: {drives: [b]}\n"
                               "  side: {drives: [c], signal: side}\n"
                               "  own: {drives: [d], signal: {left: 0.7, right: -0.2}}\n");
  const auto mix = [&](const char* name) { return settings(scene, "as_drawn", name).signal; };
  EXPECT_EQ(std::pair(mix("left").left, mix("left").right), std::pair(1.0, 0.0));
  EXPECT_EQ(std::pair(mix("plain").left, mix("plain").right), std::pair(0.5, 0.5))
      << "mono: half of left plus right";
  EXPECT_EQ(std::pair(mix("side").left, mix("side").right), std::pair(0.5, -0.5))
      << "half of left minus right";
  EXPECT_EQ(std::pair(mix("own").left, mix("own").right), std::pair(0.7, -0.2));
}

const std::string grouped = four_drivers +
                            "channels:\n"
                            "  one: {drives: [a], gain: -2 dB, delay: 1 ms, lowpass: {frequency: 2 kHz}}\n"
                            "  two: {drives: [b], polarity: normal}\n"
                            "  three: {drives: [c]}\n"
                            "groups:\n"
                            "  pair: {members: [one, two], gain: -1 dB, delay: 0.5 ms, lowpass: {frequency: "
                            "3 kHz}, polarity: inverted, signal: left}\n"
                            "  ends: {members: [one, three], gain: 4 dB, mute: yes}\n";

TEST(Groups, GainAndDelayAddMuteWinsTheRestFills) {
  const Scene scene = scene_of(grouped);
  const auto one = settings(scene, "as_drawn", "one"), two = settings(scene, "as_drawn", "two"),
             three = settings(scene, "as_drawn", "three");
  EXPECT_EQ(one.gain_db, -2 - 1 + 4);
  EXPECT_EQ(two.gain_db, -1);
  EXPECT_EQ(three.gain_db, 4);
  EXPECT_NEAR(one.delay_s, 1.5e-3, 1e-15);
  EXPECT_NEAR(two.delay_s, 0.5e-3, 1e-15);
  EXPECT_TRUE(one.mute);
  EXPECT_FALSE(two.mute);
  EXPECT_TRUE(three.mute);
  EXPECT_EQ(one.lowpass->frequency_hz, 2000) << "the channel's own";
  EXPECT_EQ(two.lowpass->frequency_hz, 3000) << "the group's";
  EXPECT_FALSE(three.lowpass);
  EXPECT_TRUE(one.inverted);
  EXPECT_FALSE(two.inverted) << "said by the channel";
  EXPECT_EQ(one.signal.left, 1);
}

TEST(Presets, TheOrderOfNamesChangesNothing) {
  auto inverted = [](const std::string& changes, const char* channel) {
    return settings(scene_of(grouped + "presets:\n  p: {channels: {" + changes + "}}\n"), "p", channel)
        .inverted;
  };
  const std::string one = "one: {polarity: inverted}", pair = "pair: {polarity: normal}";
  for (const std::string& changes : {one + ", " + pair, pair + ", " + one}) {
    EXPECT_TRUE(inverted(changes, "one")) << "a channel's own word wins: " << changes;
    EXPECT_FALSE(inverted(changes, "two")) << changes;
  }
  // Two groups in one preset: the later one of `groups` wins.
  const std::string low = "pair: {lowpass: {frequency: 1 kHz}}", high = "ends: {lowpass: {frequency: 5 kHz}}";
  for (const std::string& changes : {low + ", " + high, high + ", " + low}) {
    const Scene scene = scene_of(grouped + "presets:\n  p: {channels: {" + changes + "}}\n");
    EXPECT_EQ(settings(scene, "p", "one").lowpass->frequency_hz, 5000) << changes;
    EXPECT_EQ(settings(scene, "p", "two").lowpass->frequency_hz, 1000) << changes;
  }
}

TEST(Presets, ReplaceChannelsAndGroups) {
  const Scene scene =
      scene_of(grouped +
               "presets:\n"
               "  louder: {channels: {one: {gain: 5 dB, mute: no, lowpass: {frequency: 1 kHz}}}}\n"
               "  by_group: {listen: {passenger: 2}, channels: {pair: {gain: -6 dB, delay: 0 ms, polarity: "
               "normal, lowpass: {frequency: 4 kHz}}, ends: {mute: no}}}\n");
  ASSERT_EQ(scene.presets.size(), 3U);
  EXPECT_EQ(scene.presets[0].name, "as_drawn");
  EXPECT_TRUE(scene.presets[0].listen.empty());
  const auto louder = settings(scene, "louder", "one");
  EXPECT_EQ(louder.gain_db, 5 - 1 + 4) << "the channel's gain is replaced, those of its groups still add";
  EXPECT_TRUE(louder.mute) << "its own mute was never on: the group's wins";
  EXPECT_EQ(louder.lowpass->frequency_hz, 1000);
  EXPECT_NEAR(louder.delay_s, 1.5e-3, 1e-15);
  EXPECT_EQ(settings(scene, "louder", "two").gain_db, -1) << "what a preset does not name stays as drawn";
  const auto one = settings(scene, "by_group", "one"), two = settings(scene, "by_group", "two");
  EXPECT_EQ(one.gain_db, -2 - 6 + 4);
  EXPECT_NEAR(one.delay_s, 1e-3, 1e-15);
  EXPECT_FALSE(one.mute);
  EXPECT_FALSE(two.inverted);
  EXPECT_FALSE(one.inverted);
  EXPECT_EQ(two.lowpass->frequency_hz, 4000);
  EXPECT_EQ(named(scene.presets, "by_group").listen, (std::vector<double>{0, 2}));
}

// Steps and rates are those of the models given in place.
TEST(Processing, FiltersRunAtTheProcessorsRate) {
  const std::string channels = four_drivers + "channels: {one: {drives: [a]}}\n";
  auto rate_hz = [&](const std::string& rest) {
    return scene_of(channels + rest).computation.sample_rate_hz;
  };
  EXPECT_EQ(rate_hz(""), 48000) << "where no processor is named";
  EXPECT_EQ(rate_hz("processor: {model: {inputs: 2, outputs: 4}}\n"), 48000)
      << "where its model does not say";
  EXPECT_EQ(rate_hz("processor: {model: {inputs: 2, outputs: 4, sample_rate: 44.1 kHz}}\n"), 44100);
  EXPECT_EQ(rate_hz("processor: {model: eight_output}\n"), 96000) << "models/processors/eight_output.yaml";
}

TEST(Processing, DelaysStandInTheProcessorsSteps) {
  const std::string channels = four_drivers +
                               "channels:\n"
                               "  one: {drives: [a], delay: 1.04 ms}\n"
                               "  two: {drives: [b], delay: 0.3 ms}\n"
                               "groups: {both: {members: [one, two], delay: 0.5 ms}}\n"
                               "presets: {late: {channels: {one: {delay: 2.21 ms}}}}\n";
  const Scene free = scene_of(channels);
  EXPECT_NEAR(settings(free, "as_drawn", "one").delay_s, 1.54e-3, 1e-15);
  const Scene stepped =
      scene_of(channels + "processor: {model: {inputs: 2, outputs: 4, delay_step: 0.1 ms}}\n");
  EXPECT_NEAR(settings(stepped, "as_drawn", "one").delay_s, 1.5e-3, 1e-15);
  EXPECT_NEAR(settings(stepped, "as_drawn", "two").delay_s, 0.8e-3, 1e-15);
  EXPECT_NEAR(settings(stepped, "late", "one").delay_s, 2.7e-3, 1e-15);
  std::vector<std::string> notes = free.notes;
  notes.emplace_back(
      "one: delay 1.540 ms becomes 1.500 ms, 2.710 ms becomes 2.700 ms: the processor's steps are 0.1 ms");
  EXPECT_EQ(stepped.notes, notes) << "what was done besides, and nothing of a delay that is set as asked";
}

// Two 4 ohm coils: 2 ohm in parallel, 8 ohm in series, 4 ohm with one alone (common practice, no source). Re
// scales as the coils do.
TEST(Wiring, CoilsAreJoinedByTheChannelOrItsGroup) {
  const auto re_ohm = [](const std::string& channel, const std::string& rest = "") {
    return named(scene_of(four_drivers + "channels:\n  bass: {drives: [d]" + channel + "}\n" + rest).drivers,
                 "d")
        .thiele_small.Re_ohm;
  };
  const double parallel = re_ohm("");
  EXPECT_DOUBLE_EQ(parallel, 1.8) << "as its model was measured";
  EXPECT_DOUBLE_EQ(re_ohm(", wiring: {coils: parallel}"), parallel);
  EXPECT_DOUBLE_EQ(re_ohm(", wiring: {coils: series}"), 4 * parallel);
  EXPECT_DOUBLE_EQ(re_ohm(", wiring: {coils: single}"), 2 * parallel);
  EXPECT_DOUBLE_EQ(re_ohm("", "groups: {basses: {members: [bass], wiring: {coils: series}}}\n"),
                   4 * parallel);
}

TEST(Wiring, OfTheGroupFillsAndDefaultsToParallel) {
  const Scene scene = scene_of(four_drivers +
                               "channels:\n"
                               "  one: {drives: [a, b]}\n"
                               "  two: {drives: [c], wiring: {drivers: parallel}}\n"
                               "  three: {drives: [d]}\n"
                               "groups: {all: {members: [one, two], wiring: {drivers: series}}}\n");
  EXPECT_EQ(named(scene.channels, "one").wiring, DriverWiring::series);
  EXPECT_EQ(named(scene.channels, "two").wiring, DriverWiring::parallel);
  EXPECT_EQ(named(scene.channels, "three").wiring, DriverWiring::parallel);
}

TEST(Channels, WarnOfWhatIsLegalButFoolish) {
  EXPECT_NE(warnings_of(four_drivers + "channels: {one: {drives: [a], mute: yes}}\n")
                .find("preset 'as_drawn': every channel is muted"),
            std::string::npos);
  EXPECT_NE(warnings_of(four_drivers + "channels: {one: {drives: [a]}}\n")
                .find("f.yaml:5:3: driver 'b' is fed by no channel"),
            std::string::npos);
}

}  // namespace
}  // namespace cabinfield::test
