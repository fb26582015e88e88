// Batteries, cables and fuses as `check` judges them: small plans of one flaw each.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "predict/prediction.h"
#include "scene/scene_text.h"
#include "support/judged_plan.h"
#include "system/conductor.h"
#include "system/limits.h"

namespace cabinfield::test {
namespace {

const char* const supply =
    "amplifiers: {amp: {model: mono_600}}\n"
    "drivers: {sub: {model: sub_300_dual, position: [2, 0, 0.3], loading: {sealed: 30 L}}}\n"
    "channels: {bass: {drives: [sub], wiring: {coils: series}, highpass: {frequency: 25 Hz}, lowpass: "
    "{frequency: 80 Hz}, "
    "amplifier: {unit: amp, channel: 1}}}\n"
    "supply:\n  batteries: {start: {chemistry: agm, capacity: 70 Ah}}\n  cables: [";

TEST(Supply, ThinCableLowFuseAndHighFuseAreTold) {
  const std::string fat = "{from: start, to: amp, area: 25 mm2, length: 1 m, fuse_start: 60 A}]\n";
  EXPECT_EQ(broken(checks_of(supply + fat)), Broken{});
  const std::string thin = "{from: start, to: amp, area: 4 mm2, length: 3 m, fuse_start: 40 A}]\n";
  EXPECT_EQ(broken(checks_of(supply + thin)),
            (Broken{{"voltage drop", "start to amp"}, {"voltage drop", "amp"}}));
  const std::string low = "{from: start, to: amp, area: 25 mm2, length: 1 m, fuse_start: 5 A}]\n";
  EXPECT_EQ(broken(checks_of(supply + low)), (Broken{{"fuse", "start to amp"}}));
  const std::string high = "{from: start, to: amp, area: 6 mm2, length: 1 m, fuse_start: 200 A}]\n";
  EXPECT_EQ(broken(checks_of(supply + high)), (Broken{{"fuse", "start to amp"}}));
  EXPECT_EQ(broken(checks_of(supply + std::string("]\n"))), (Broken{{"cable", "amp"}}));
  EXPECT_EQ(broken(checks_of(supply + fat + "  parked_drain: 80 mA\n")),
            (Broken{{"parked drain", "supply"}}));
}

std::string joined_words(const std::vector<Check>& checks, const std::string& rule,
                         const std::string& subject) {
  std::string words;
  for (const Check& check : checks)
    if (name_of(check.rule) == rule && check.subject == subject) words += check.words + "\n";
  return words;
}

// A fuse guards the cable that lies behind it, wherever it stands (common practice, no source).
TEST(Supply, ACableWithoutAFuseIsJudgedByTheOneBeforeIt) {
  auto over_bus = [](const char* fuse, const char* own) {
    return checks_of(supply + std::string("{from: start, to: bus, area: 50 mm2, length: 4 m, fuse_start: ") +
                     fuse + "}, {from: bus, to: amp, area: 4 mm2, length: 0.5 m" + own +
                     "}]\n  junctions: [bus]\n");
  };
  const auto bare = over_bus("200 A", "");
  EXPECT_EQ(broken(bare), (Broken{{"fuse", "bus to amp"}}));
  const std::string words = joined_words(bare, "fuse", "bus to amp");
  EXPECT_NE(words.find("up to 200 A can flow into it at bus"), std::string::npos) << words;
  EXPECT_NE(words.find("A at bus\n"), std::string::npos) << words;
  EXPECT_EQ(broken(over_bus("200 A", ", fuse_start: 40 A")), Broken{});
  EXPECT_EQ(broken(over_bus("200 A", ", fuse_end: 40 A")), (Broken{{"fuse", "bus to amp"}}))
      << "a short before it draws 200 A";
  const auto held = over_bus("40 A", "");
  EXPECT_EQ(broken(held), Broken{});
  EXPECT_EQ(check_of(held, "fuse", "bus to amp").margin.value().unit, MarginUnit::ampere);
}

TEST(Supply, AFuseAtTheLoadAloneDoesNotProtect) {
  const auto checks =
      checks_of(supply + std::string("{from: start, to: amp, area: 20 mm2, length: 4 m, fuse_end: 60 A}]\n"));
  const std::string words = joined_words(checks, "fuse", "start to amp");
  EXPECT_EQ(words.find("protects"), std::string::npos) << words;
  EXPECT_NE(words.find("no fuse limits what a short draws from start"), std::string::npos) << words;
  EXPECT_EQ(broken(checks), (Broken{{"fuse", "start to amp"}}));
  // One that is too great for the cable besides is no better than it was.
  EXPECT_EQ(
      broken(checks_of(supply + std::string("{from: start, to: amp, area: 6 mm2, length: 1 m, fuse_end: "
                                            "200 A}]\n"))),
      (Broken{{"fuse", "start to amp"}}));
  const auto guarded = checks_of(
      supply + std::string("{from: start, to: amp, area: 20 mm2, length: 4 m, fuse_start: 60 A}]\n"));
  EXPECT_NE(joined_words(guarded, "fuse", "start to amp").find("protects"), std::string::npos);
}

TEST(Supply, CablesBehindAnUnfusedOneAreUnfusedToo) {
  const auto checks = checks_of(
      supply + std::string("{from: start, to: bus, area: 50 mm2, length: 1 m}, {from: bus, to: amp, area: 25 "
                           "mm2, length: 1 m}]\n  junctions: [bus]\n"));
  EXPECT_EQ(broken(checks), (Broken{{"fuse", "start to bus"}, {"fuse", "bus to amp"}}));
}

TEST(Supply, HeatIsThatOfTheLargerCurrentWithTheEngineRunningOrOff) {
  // The alternator feeds the bus: running, the battery's cable only charges it; off, it carries all.
  const std::string scene =
      supply + std::string(
                   "{from: start, to: bus, area: 0.75 mm2, length: 0.2 m, fuse_start: 40 A}, {from: "
                   "alternator, to: bus, area: 35 mm2, length: 2 m}, {from: bus, to: amp, area: 16 "
                   "mm2, length: 0.5 m}]\n  junctions: [bus]\n  alternator: {rated: 120 A, voltage: 12.6 V, "
                   "car_load: 0 A}\n");
  const Results results = predict_without_field(scene_of(scene));
  const SystemReport& report = results.system;
  const double running_a = std::abs(report.cable_a(static_cast<std::size_t>(LoadCase::music_running), 0)),
               off_a = std::abs(report.cable_a(static_cast<std::size_t>(LoadCase::music_off), 0));
  ASSERT_GT(off_a, 1.2 * running_a);
  // The heat balance of conductor.h at that current; it is taken before the copper is warm.
  const double ambient_c = 40, hot_c = conductor_temperature_c(metric_conductor(0.75e-6), off_a, ambient_c);
  EXPECT_NEAR(report.cable_c[0] - ambient_c, hot_c - ambient_c, 0.02 * (hot_c - ambient_c));
  const Check& heat = check_of(results.checks, "cable heat", "start to bus");
  EXPECT_EQ(heat.outcome, report.cable_c[0] > insulation_limit_c ? Outcome::violated : Outcome::met);
}

TEST(Supply, DropAndCurrentBelongTogether) {
  const Results results = predict_without_field(scene_of(
      supply + std::string("{from: start, to: amp, area: 25 mm2, length: 1 m, fuse_start: 60 A}]\n")));
  const SystemReport& report = results.system;
  const auto bass = static_cast<std::size_t>(LoadCase::bass_running);
  ASSERT_EQ(report.cable.size(), 1U);
  // One battery, one cable, one amplifier: 12.6 V behind 0.25/70 ohm.
  const double current_a = report.amplifier_a(bass, 0);
  EXPECT_NEAR(report.battery_a(bass, 0), current_a, 1e-9);
  EXPECT_NEAR(report.amplifier_v(bass, 0), 12.6 - current_a * 0.25 / 70 - report.cable_drop_v(bass, 0), 1e-9);
  // 25 mm2, 1 m and back with four connections: 1.56 mohm of copper at 40 degC and more, and 0.8 mohm.
  EXPECT_NEAR(report.cable_drop_v(bass, 0) / current_a,
              1.56e-3 * (1 + 3.93e-3 * (report.cable_c[0] - 20)) + 0.8e-3, 1e-7);
}

// At most 0.5 V or 3 % on the way from battery to amplifier (common practice, no source).
TEST(Supply, DropsAddUpOnTheWayToAnAmplifier) {
  auto over_bus = [](const char* length) {
    return predict_without_field(scene_of(
        supply + std::string("{from: start, to: bus, area: 10 mm2, fuse_start: 60 A, length: ") + length +
        "}, {from: bus, to: amp, area: 10 mm2, length: " + length + "}]\n  junctions: [bus]\n"));
  };
  const Results far = over_bus("3 m");
  const auto bass = static_cast<std::size_t>(LoadCase::bass_running);
  const double first_v = far.system.cable_drop_v(bass, 0), then_v = far.system.cable_drop_v(bass, 1);
  ASSERT_LT(std::max(first_v, then_v), 0.5);
  ASSERT_GT(first_v + then_v, 0.5);
  EXPECT_EQ(broken(far.checks), (Broken{{"voltage drop", "amp"}}));
  EXPECT_NEAR(check_of(far.checks, "voltage drop", "amp").margin.value().value, 0.5 - first_v - then_v, 1e-9);
  EXPECT_EQ(broken(over_bus("0.5 m").checks), Broken{});
}

TEST(Supply, ABatteryBehindAChargerIsOnNoWayToAnAmplifier) {
  // The alternator holds the first battery at 14.2 V; the second, at some 13 V, feeds the amplifier.
  const std::string two_batteries = std::string(supply).replace(
      std::string(supply).find("70 Ah}"), 6, "70 Ah}, second: {chemistry: lifepo4, capacity: 50 Ah}");
  const auto checks = checks_of(
      two_batteries +
      "{from: second, to: amp, area: 25 mm2, length: 1 m, fuse_start: 60 A}]\n  alternator: {rated: "
      "120 A}\n  chargers: {dc: {from: start, to: second, current: 20 A}}\n");
  EXPECT_EQ(broken(checks), Broken{});
  EXPECT_NEAR(check_of(checks, "voltage drop", "amp").margin.value().value,
              check_of(checks, "voltage drop", "second to amp").margin.value().value, 1e-9);
}

TEST(Supply, AnAmplifierOnAJunctionThatAChargerFeedsIsFed) {
  auto over_charger = [](const char* alternator) {
    return predict_without_field(
        scene_of(supply +
                 std::string("{from: start, to: inlet, area: 25 mm2, length: 1 m, fuse_start: 100 A}, {from: "
                             "bus, to: amp, area: 25 mm2, length: 1 m, fuse_start: 80 A}]\n  junctions: "
                             "[inlet, bus]\n  chargers: {dc: {from: inlet, to: bus, current: 60 A}}\n") +
                 alternator));
  };
  const Results results = over_charger("  alternator: {rated: 120 A}\n");
  EXPECT_EQ(broken(results.checks), Broken{});
  const SystemReport& report = results.system;
  const auto bass = static_cast<std::size_t>(LoadCase::bass_running);
  EXPECT_GT(report.amplifier_a(bass, 0), 10);
  EXPECT_NEAR(report.cable_a(bass, 1), report.amplifier_a(bass, 0), 1e-6);
  // The charger's 14.4 V and 90 %: what it draws through the first cable is more than what it puts out.
  EXPECT_GT(report.cable_a(bass, 0), report.amplifier_a(bass, 0));
  // Without an alternator it rests, and a cable there is.
  const Results resting = over_charger("");
  EXPECT_EQ(broken(resting.checks), (Broken{{"supply voltage", "amp"}}));
  EXPECT_NE(check_of(resting.checks, "supply voltage", "amp").words.find("chargers rest"), std::string::npos);
}

TEST(Supply, OneLimitOfAProtectionCircuitStandsForBoth) {
  auto battery = [](const char* limits) {
    return scene_of(std::string("supply: {batteries: {start: {chemistry: lifepo4, capacity: 50 Ah") + limits +
                    "}}}\n")
        .system.supply->batteries.front();
  };
  EXPECT_EQ(battery(", peak_current: 200 A").peak_a, 200);
  EXPECT_EQ(battery(", peak_current: 200 A").continuous_a, 200);
  EXPECT_EQ(battery(", continuous_current: 100 A").peak_a, 100);
  EXPECT_EQ(battery(", continuous_current: 100 A, peak_current: 200 A").peak_a, 200);
  EXPECT_TRUE(std::isinf(battery("").continuous_a));
  EXPECT_TRUE(std::isinf(battery("").peak_a));
}

/// Currents and voltages of the one amplifier at full bass, engine running and with the alternator off.
struct FullBass {
  double running_a = 0, running_v = 0, off_a = 0, off_v = 0;
};
FullBass full_bass(const std::string& text) {
  const SystemReport report = predict_without_field(scene_of(text)).system;
  const auto running = static_cast<std::size_t>(LoadCase::bass_running),
             off = static_cast<std::size_t>(LoadCase::bass_off);
  return {report.amplifier_a(running, 0), report.amplifier_v(running, 0), report.amplifier_a(off, 0),
          report.amplifier_v(off, 0)};
}

// P = U^2/R of the output: at full scale an unregulated amplifier is a resistance to its supply; one whose
// converter regulates takes the same power at any voltage (common practice, no source).
TEST(Supply, AnAmplifierDrawsWhatGoesWithTheVoltageThatItHas) {
  const std::string cable =
      "{from: start, to: amp, area: 25 mm2, length: 4 m, fuse_start: 60 A}]\n  alternator: {rated: 60 A, "
      "car_load: 45 A}\n";
  const FullBass loose = full_bass(supply + cable);
  ASSERT_GT(loose.running_v - loose.off_v, 0.1);
  ASSERT_LT(loose.running_v, 13.6) << "the alternator is at its limit";
  // Within 1 %: its load line is not that of a voltage alone.
  EXPECT_NEAR(loose.off_a / loose.off_v / (loose.running_a / loose.running_v), 1, 0.01);
  std::string regulated = supply + cable;
  const std::string model = "{model: mono_600}";
  regulated.replace(regulated.find(model), model.size(),
                    "{model: {channels: 1, class: d, regulated: yes, idle_current: 0 A, ratings: [{load: 4 "
                    "ohm, power: 340 W}, {load: 2 ohm, power: 600 W}]}}");
  const FullBass held = full_bass(regulated);
  EXPECT_GT(held.off_a, held.running_a + 0.2);
  EXPECT_NEAR(held.off_a * held.off_v, held.running_a * held.running_v, 1e-6);
}

TEST(Supply, ALargeAlternatorOverALongCableHasAnAnswer) {
  const Results results = predict_without_field(scene_of(
      supply +
      std::string("{from: alternator, to: start, area: 35 mm2, length: 1 m, fuse_start: 150 A}, {from: "
                  "start, to: amp, area: 25 mm2, length: 4.5 m, return: body, fuse_start: 80 A}]\n  "
                  "alternator: {rated: 200 A}\n")));
  EXPECT_EQ(results.system.load_case_settled, std::vector<int>(load_cases, 1));
  EXPECT_EQ(broken(results.checks).count({"steady state", "supply"}), 0U);
}

TEST(Supply, AChargerThatDropsOutAndComesBackIsToldAndWritten) {
  const Results results = predict_without_field(scene_of(
      supply + std::string("{from: start, to: inlet, area: 2.5 mm2, length: 14 m, fuse_start: 30 A}, {from: "
                           "bus, to: amp, area: 25 mm2, length: 1 m, fuse_start: 80 A}]\n  junctions: "
                           "[inlet, bus]\n  chargers: {dc: {from: inlet, to: bus, current: 60 A}}\n  "
                           "alternator: {rated: 120 A}\n")));
  const SystemReport& report = results.system;
  const auto bass = static_cast<std::size_t>(LoadCase::bass_running),
             music = static_cast<std::size_t>(LoadCase::music_running);
  ASSERT_EQ(report.load_case_settled.size(), static_cast<std::size_t>(load_cases));
  EXPECT_EQ(report.load_case_settled[bass], 0);
  EXPECT_EQ(report.load_case_settled[music], 1);
  EXPECT_EQ(broken(results.checks).count({"steady state", "dc"}), 1U);
  EXPECT_NE(check_of(results.checks, "steady state", "dc").words.find("full bass, engine running"),
            std::string::npos);
  EXPECT_LT(report.amplifier_v(bass, 0), 10.5);
  for (double current_a : report.cable_a.values()) EXPECT_TRUE(std::isfinite(current_a));
}

}  // namespace
}  // namespace cabinfield::test
