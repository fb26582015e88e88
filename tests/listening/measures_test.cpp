// Measures against numpy (tests/reference/measures.py), against what two delayed channels give in closed
// form, and as a mirror must leave them.
#include "listening/measures.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <functional>
#include <limits>
#include <map>
#include <sstream>
#include <string>
#include <tuple>

#include "base/parallel.h"
#include "field/frequency_grid.h"
#include "support/judged_channels.h"

namespace cabinfield::test {
namespace {

using enum MeasureKind;
constexpr int left_signal = 0, right_signal = 1, mono = 2;

std::map<std::string, std::array<double, 3>> reference_rows() {
  std::ifstream file(CABINFIELD_SOURCE_DIR "/tests/reference/measures.txt");
  std::map<std::string, std::array<double, 3>> rows;
  std::string line;
  while (std::getline(file, line)) {
    if (line.starts_with("#")) continue;
    std::istringstream words(line);
    std::string name, word;
    words >> name;
    for (double& value : rows[name]) {
      words >> word;
      value = std::stod(word);  // reads "nan", which a stream does not
    }
  }
  return rows;
}

MeasureOptions measure_options(MeasureKind kind, FrequencyRange band, int signal = mono,
                               OverSeats over = OverSeats::mean) {
  MeasureOptions made;
  made.kind = kind;
  made.band = band;
  made.signal = signal;
  made.over = over;
  return made;
}

MeasureOptions with(MeasureOptions made, const std::function<void(MeasureOptions&)>& change) {
  change(made);
  return made;
}

void expect_alike(double value, double expected, const std::string& what) {
  if (std::isnan(expected)) {
    EXPECT_TRUE(std::isnan(value)) << what;
  } else {
    EXPECT_NEAR(value, expected, 1e-9) << what;  // the digits of the file
  }
}

TEST(Measures, MatchNumpy) {
  const auto rows = reference_rows();
  const JudgedChannels channels = reference_channels();
  constexpr OverSeats worst = OverSeats::worst;
  const TargetCurve target{-1.5, {50, 150, 800}, {6, 0, 1}};
  const std::vector<std::pair<std::string, MeasureOptions>> options{
      {"level_mean", measure_options(level, {60, 120})},
      {"level_left_weighted", with(measure_options(level, {300, 1400}, left_signal),
                                   [](MeasureOptions& one) {
                                     one.seat_weight = {3, 1};
                                   })},
      {"level_right_reaching_out_worst", measure_options(level, {5, 25}, right_signal, worst)},
      {"evenness", measure_options(response_deviation, {40, 1000})},
      {"evenness_target_worst", with(measure_options(response_deviation, {40, 1000}, mono, worst),
                                     [&](MeasureOptions& one) { one.target = target; })},
      {"notch_worst", measure_options(deepest_notch, {60, 1400}, mono, worst)},
      {"notch_narrow", measure_options(deepest_notch, {60, 80})},
      {"cancellation", measure_options(cancellation_loss, {60, 300})},
      {"cancellation_left", measure_options(cancellation_loss, {30, 90}, left_signal)},
      {"power_share",
       with(measure_options(power_share, {40, 80}), [](MeasureOptions& one) { one.channels = {2}; })},
      {"power_share_left_worst", with(measure_options(power_share, {40, 200}, left_signal, worst),
                                      [](MeasureOptions& one) {
                                        one.channels = {0, 1};
                                      })},
      {"sum_share",
       with(measure_options(sum_share, {40, 200}), [](MeasureOptions& one) { one.channels = {2}; })},
      {"sum_share_of_the_rest", with(measure_options(sum_share, {40, 200}),
                                     [](MeasureOptions& one) {
                                       one.channels = {0, 1};
                                     })},
      {"sum_share_left", with(measure_options(sum_share, {40, 200}, left_signal),
                              [](MeasureOptions& one) { one.channels = {2}; })},
      {"seat_spread", measure_options(seat_spread, {50, 1000})}};
  // All at once, as a study does, with one workspace.
  std::vector<MeasureOptions> all;
  for (const auto& [name, one] : options) all.push_back(one);
  ASSERT_TRUE(measure_problems(all, channels.setting()).empty());
  const MeasurePlan plan(all, channels.setting());
  MeasureWorkspace work = plan.workspace();
  Measured measured;
  plan.evaluate(channels.heard(), work, measured);
  plan.evaluate(channels.heard(), work, measured);
  for (std::size_t m = 0; m < options.size(); ++m) {
    const std::string& name = options[m].first;
    const auto& expected = rows.at(name);
    expect_alike(measured.at_seat[2 * m], expected[0], name + " at seat 0");
    expect_alike(measured.at_seat[2 * m + 1], expected[1], name + " at seat 1");
    expect_alike(measured.over_seats[m], expected[2], name + " over the seats");
    if (name == "notch_worst") {
      expect_alike(measured.detail[2 * m], rows.at("notch_frequency")[0], "its frequency");
      expect_alike(measured.detail[2 * m + 1], rows.at("notch_frequency")[1], "its frequency");
    }
  }
}

// Two channels, equal and 5 ms apart at both ears: |1 + e^{-jx}|^2 = 2 + 2 cos x, whose mean over ln f is
// 2 + 2 (Ci(x2) - Ci(x1))/ln(f2/f1); numbers by scipy.special.sici. The grid is so fine that straight lines
// between its frequencies are off by less than 1e-4 dB; 100 Hz is one of them.
JudgedChannels comb(double gain) {
  return delayed_channels(octave_grid_hz(25, 1000, 480), {{0.001, 0.001}, {0.006, 0.006}},
                          {{1, 1}, {gain, gain}});
}

TEST(Measures, OfACombFilterMatchTheClosedForm) {
  const JudgedChannels channels = comb(1);
  const double of_one_db = 10 * std::log10(1 / (20e-6 * 20e-6));
  EXPECT_NEAR(judge_one(channels, measure_options(level, {60, 120})).over_seats, of_one_db - 3.6002651829,
              1e-4);
  EXPECT_NEAR(judge_one(channels, measure_options(level, {40, 400})).over_seats, of_one_db + 2.0844738527,
              1e-4);
  EXPECT_NEAR(judge_one(channels, measure_options(cancellation_loss, {60, 120})).over_seats, 9.6208650962,
              1e-4);
  EXPECT_NEAR(judge_one(channels, measure_options(cancellation_loss, {40, 400})).over_seats, 3.9361260605,
              1e-4);
  // The second at 0.8 of the first: at 100 Hz what is left is 0.2, the octave about it has the mean 0.3477.
  const Judged notch = judge_one(comb(0.8), measure_options(deepest_notch, {60, 120}));
  EXPECT_NEAR(notch.over_seats, 9.3949171987, 1e-4);
  EXPECT_EQ(notch.detail[0], 100);
  EXPECT_EQ(judge_one(comb(0.8), measure_options(deepest_notch, {120, 250})).over_seats, 0)
      << "a peak lies there";
}

TEST(Measures, SingleChannelLosesNothingAndIsFlat) {
  const JudgedChannels one = delayed_channels(octave_grid_hz(20, 1000, 24), {{0.001, 0.0012}}, {{2, 2}});
  EXPECT_NEAR(judge_one(one, measure_options(cancellation_loss, {60, 120})).over_seats, 0, 1e-12);
  EXPECT_NEAR(judge_one(one, measure_options(response_deviation, {40, 900})).over_seats, 0, 1e-6);
  EXPECT_EQ(judge_one(one, measure_options(arrival_spread, {})).over_seats, 0);
  EXPECT_NEAR(judge_one(one, with(measure_options(power_share, {60, 120}),
                                  [](MeasureOptions& w) { w.channels = {0}; }))
                  .over_seats,
              100, 1e-12);
  // 10 lg 4 over the level of 1 Pa.
  EXPECT_NEAR(judge_one(one, measure_options(level, {60, 120})).over_seats, 93.9794 + 6.0206, 1e-4);
}

TEST(Measures, ResponseDeviationIsRelativeToTheTarget) {
  // A response that follows the target is even, however loud.
  JudgedChannels one = delayed_channels(octave_grid_hz(20, 1000, 96), {{0.001, 0.001}}, {{1, 1}});
  TargetCurve target{-3, {}, {}};
  for (std::size_t e = 0; e < 2; ++e)
    for (std::size_t f = 0; f < one.frequency_hz.size(); ++f)
      one.pressure_pa(0, e, f) *= 7 * std::pow(10, target.level_at(one.frequency_hz[f]) / 20);
  MeasureOptions tilted = measure_options(response_deviation, {40, 640});
  tilted.target = target;
  // The mean power of a third octave is above that of its middle: alike in each, but for those the band cuts.
  EXPECT_NEAR(judge_one(one, tilted).over_seats, 0, 0.01);
  // Without it: -3 dB an octave over four octaves in steps of a third, 3 * 4/sqrt(12) = 3.46 less the spread
  // within a third octave (1/sqrt(12)).
  EXPECT_NEAR(judge_one(one, measure_options(response_deviation, {40, 640})).over_seats,
              std::sqrt(12 - 1.0 / 12), 0.02);
}

TEST(TargetCurve, IsLinearOverOctavesAndConstantBeyondItsEnds) {
  const TargetCurve curve{-1, {100, 400}, {6, 2}};
  EXPECT_NEAR(curve.level_at(1000), 2, 1e-12);
  EXPECT_NEAR(curve.level_at(2000), 1, 1e-12);
  EXPECT_NEAR(curve.level_at(200), 4 - std::log2(0.2), 1e-12);
  EXPECT_NEAR(curve.level_at(50), 6 - std::log2(0.05), 1e-12);
}

TEST(Measures, LengthsAndArrivalsAreAtTheHead) {
  JudgedChannels channels = delayed_channels(
      octave_grid_hz(20, 1000, 12),
      {{0.003, 0.004, 0.006, 0.007}, {0.009, 0.008, 0.005, 0.004}, {0.012, 0.012, 0.010, 0.010}},
      {{1, 1, 1, 1}, {1, 1, 1, 1}, {1, 1, 1, 1}});
  MeasureOptions pair = measure_options(path_difference, {});
  pair.left_channel = 0;
  pair.right_channel = 1;
  // 343 m/s times 8.5 less 3.5 ms, and 4.5 less 6.5 ms.
  const Judged difference = judge_one(channels, pair);
  EXPECT_NEAR(difference.at_seat[0], 1715, 1e-9);
  EXPECT_NEAR(difference.at_seat[1], -686, 1e-9);
  EXPECT_NEAR(difference.over_seats, 0.5 * (1715 + 686), 1e-9) << "of magnitudes";
  pair.over = OverSeats::worst;
  EXPECT_NEAR(judge_one(channels, pair).over_seats, 1715, 1e-9);
  pair.seat_weight = {0, 1};
  EXPECT_NEAR(judge_one(channels, pair).over_seats, -686, 1e-9) << "a single seat keeps the sign";
  EXPECT_TRUE(std::isnan(judge_one(channels, pair).at_seat[0])) << "not asked for";

  const Judged spread = judge_one(channels, measure_options(arrival_spread, {}));
  EXPECT_NEAR(spread.at_seat[0], 8.5, 1e-9);
  EXPECT_NEAR(spread.at_seat[1], 5.5, 1e-9);
  MeasureOptions front = measure_options(arrival_spread, {});
  front.channels = {0, 1};
  EXPECT_NEAR(judge_one(channels, front).at_seat[0], 5, 1e-9);
  // The third does not play in mono, the second has no way to the driver.
  channels.signal_share[2 * 3 + 2] = 0;
  channels.arrival_s[2] = std::nan("");
  EXPECT_NEAR(judge_one(channels, measure_options(arrival_spread, {})).at_seat[0], 0, 1e-9);
  EXPECT_NEAR(judge_one(channels, measure_options(arrival_spread, {})).at_seat[1], 2, 1e-9);
}

TEST(Measures, SharesOfTheSumShowCancellation) {
  // 1 and -0.5 in phase opposition, at every frequency.
  const JudgedChannels channels = delayed_channels(octave_grid_hz(20, 1000, 12),
                                                   {{0.002, 0.002}, {0.002, 0.002}}, {{1, 1}, {-0.5, -0.5}});
  auto share = [&](MeasureKind kind, int channel) {
    return judge_one(channels, with(measure_options(kind, {60, 120}),
                                    [&](MeasureOptions& one) { one.channels = {channel}; }))
        .over_seats;
  };
  EXPECT_NEAR(share(power_share, 0), 80, 1e-10);
  EXPECT_NEAR(share(power_share, 1), 20, 1e-10);
  EXPECT_NEAR(share(sum_share, 0), 200, 1e-10);
  EXPECT_NEAR(share(sum_share, 1), -100, 1e-10);
}

TEST(Measures, SideOfMonoIsThatOfInteraural) {
  const std::vector<double> grid = octave_grid_hz(100, 2000, 48);
  // The right ear of the first seat leads by 0.2 ms, the left of the second by 0.3 ms.
  const JudgedChannels channels = delayed_channels(grid, {{0.0032, 0.003, 0.005, 0.0053}}, {{1, 1, 1, 1}});
  const SideAngleScale scale = SideAngleScale::of_free_ears(343);
  const Judged side = judge_one(channels, measure_options(side_angle, {}), {scale, scale});
  // Free ears 175 mm apart: sin(theta) = c dt/d.
  EXPECT_NEAR(side.at_seat[0], std::asin(343 * 2e-4 / 0.175) * 180 / pi, 0.01);
  EXPECT_NEAR(side.at_seat[1], -std::asin(343 * 3e-4 / 0.175) * 180 / pi, 0.01);
  EXPECT_NEAR(side.over_seats, 0.5 * (side.at_seat[0] - side.at_seat[1]), 1e-12) << "of magnitudes";
}

TEST(Measures, WorstIsTheValueFarthestFromGood) {
  const JudgedChannels channels =
      delayed_channels(octave_grid_hz(20, 1000, 12), {{0.002, 0.002, 0.002, 0.002}}, {{1, 1, 0.5, 0.5}});
  const Judged mean = judge_one(channels, measure_options(level, {60, 120}));
  EXPECT_NEAR(mean.at_seat[0] - mean.at_seat[1], 6.0206, 1e-4);
  EXPECT_NEAR(mean.over_seats, mean.at_seat[0] - 3.0103, 1e-4);
  EXPECT_EQ(judge_one(channels, measure_options(level, {60, 120}, mono, OverSeats::worst)).over_seats,
            mean.at_seat[1]);
  EXPECT_NEAR(judge_one(channels, measure_options(seat_spread, {60, 120})).over_seats, 6.0206, 1e-4);
}

TEST(Measures, OfAMirroredCabinAreMirrored) {
  const JudgedChannels given = reference_channels();
  const JudgedChannels other = mirrored(given, {1, 0, 2, 3});
  const SideAngleScale scale = SideAngleScale::of_free_ears(343);
  const std::vector<SideAngleScale> scales{scale, scale};
  constexpr int other_signal[3] = {1, 0, 2};
  constexpr int other_channel[4] = {1, 0, 2, 3};
  for (const MeasureDeclaration& declared : measure_declarations()) {
    if (!declared.not_yet.empty()) continue;
    for (int signal : {left_signal, right_signal, mono})
      for (OverSeats over : {OverSeats::mean, OverSeats::worst}) {
        MeasureOptions one = measure_options(
            declared.kind, declared.band == Stated::must ? FrequencyRange{50, 900} : FrequencyRange{}, signal,
            over);
        if (declared.channels == Stated::must) one.channels = {0};
        if (declared.pair) std::tie(one.left_channel, one.right_channel) = std::pair(0, 1);
        one.seat_weight = {2, 1};
        MeasureOptions turned = one;
        turned.signal = other_signal[signal];
        for (int& channel : turned.channels) channel = other_channel[channel];
        turned.seat_weight = {1, 2};
        const Judged here = judge_one(given, one, scales), there = judge_one(other, turned, scales);
        const double sign = declared.better == Better::near_zero ? -1 : 1;
        const std::string what(declared.name);
        // Sums in another order of ears and channels: rounding alone.
        expect_alike(there.over_seats, here.over_seats, what);
        expect_alike(there.at_seat[1], sign * here.at_seat[0], what);
        expect_alike(there.at_seat[0], sign * here.at_seat[1], what);
        // The loudest is found elsewhere, with amplifiers and limits.
        EXPECT_EQ(std::isnan(here.at_seat[0]), !declared.of_one_seat || declared.kind == MeasureKind::loudest)
            << what;
      }
  }
}

TEST(Measures, DoNotDependOnTheMemoryLayout) {
  const JudgedChannels given = reference_channels();
  const std::size_t count = given.frequency_hz.size(), padded = count + 5;
  std::vector<Complex> ears_first(4 * 4 * padded, Complex(std::nan(""), 0));
  for (std::size_t c = 0; c < 4; ++c)
    for (std::size_t e = 0; e < 4; ++e)
      std::copy_n(given.pressure_pa.row(c, e), count, ears_first.data() + (e * 4 + c) * padded);
  Heard heard = given.heard();
  heard.pressure = {ears_first.data(), 4, 4, count, padded, 4 * padded};
  std::vector<MeasureOptions> options{measure_options(level, {60, 120}),
                                      measure_options(cancellation_loss, {60, 120})};
  for (MeasureKind kind : {power_share, sum_share})
    options.push_back(
        with(measure_options(kind, {60, 120}), [](MeasureOptions& one) { one.channels = {1}; }));
  const MeasurePlan plan(options, given.setting());
  MeasureWorkspace work = plan.workspace();
  Measured row_major, otherwise;
  plan.evaluate(given.heard(), work, row_major);
  plan.evaluate(heard, work, otherwise);
  EXPECT_EQ(row_major.at_seat, otherwise.at_seat);
  EXPECT_EQ(row_major.over_seats, otherwise.over_seats);
}

TEST(Measures, OfSilenceHaveNoShareAndNoSide) {
  JudgedChannels channels = reference_channels();
  channels.signal_share.assign(channels.signal_share.size(), 0);
  const SideAngleScale scale = SideAngleScale::of_free_ears(343);
  auto value = [&](const MeasureOptions& one) { return judge_one(channels, one, {scale, scale}).over_seats; };
  EXPECT_TRUE(std::isnan(
      value(with(measure_options(power_share, {60, 120}), [](MeasureOptions& w) { w.channels = {0}; }))));
  EXPECT_TRUE(std::isnan(
      value(with(measure_options(sum_share, {60, 120}), [](MeasureOptions& w) { w.channels = {0}; }))));
  EXPECT_TRUE(std::isnan(value(measure_options(cancellation_loss, {60, 120}))));
  EXPECT_TRUE(std::isnan(value(measure_options(side_angle, {}))));
  EXPECT_TRUE(std::isnan(value(measure_options(arrival_spread, {}))));
  EXPECT_EQ(value(measure_options(deepest_notch, {60, 120})), 0);
  EXPECT_LT(value(measure_options(level, {60, 120})), -100);
}

TEST(Measures, NeedTheirOptions) {
  const JudgedChannels channels = reference_channels();
  auto words = [&](const MeasureOptions& one) {
    const auto problems = measure_problems(std::vector<MeasureOptions>{one}, channels.setting());
    return problems.empty() ? std::string() : problems.front().words;
  };
  EXPECT_EQ(words(measure_options(level, {60, 120})), "");
  EXPECT_EQ(words(measure_options(level, {})), "level needs a band");
  EXPECT_EQ(words(measure_options(level, {3, 4})),
            "level: the band from 3 to 4 Hz has no computed frequency in it; nearest: 10 Hz");
  EXPECT_EQ(words(measure_options(response_deviation, {95, 105})),
            "evenness: the band from 95 to 105 Hz lies in one third octave; it needs at least two");
  EXPECT_EQ(words(measure_options(path_difference, {})), "path_difference needs a left and a right channel");
  EXPECT_EQ(words(with(measure_options(path_difference, {}),
                       [](MeasureOptions& w) { w.left_channel = w.right_channel = 0; })),
            "path_difference needs two different channels");
  EXPECT_EQ(words(measure_options(arrival_spread, {60, 120})), "arrival_spread takes no band");
  EXPECT_EQ(words(measure_options(power_share, {60, 120})), "power_share needs the names of channels");
  EXPECT_EQ(words(with(measure_options(level, {60, 120}), [](MeasureOptions& w) { w.channels = {0}; })),
            "level takes no channels");
  EXPECT_EQ(words(with(measure_options(seat_spread, {60, 120}),
                       [](MeasureOptions& w) {
                         w.seat_weight = {1, 0};
                       })),
            "seat_spread needs at least two seats");
  EXPECT_EQ(words(with(measure_options(level, {60, 120}),
                       [](MeasureOptions& w) {
                         w.seat_weight = {0, 0};
                       })),
            "level needs a seat");
  EXPECT_EQ(words(with(measure_options(level, {60, 120}),
                       [](MeasureOptions& w) {
                         w.seat_weight = {-1, 1};
                       })),
            "level: the weight of a seat must be 0 or more");
  EXPECT_EQ(words(measure_options(side_angle, {})),
            "side_angle needs computed frequencies from 200 to 1500 Hz");
}

TEST(MeasureDeclarations, NameEachKindOnce) {
  for (const MeasureDeclaration& declared : measure_declarations()) {
    EXPECT_EQ(find_measure(declared.name), &declared) << declared.name;
    EXPECT_EQ(&declaration_of(declared.kind), &declared);
    EXPECT_FALSE(declared.help.empty());
    EXPECT_FALSE(declared.unit.empty());
    EXPECT_TRUE(declared.pressures || declared.arrivals || declared.lengths);
  }
  EXPECT_EQ(find_measure("loudness"), nullptr);
}

TEST(Measures, AreTheSameForAnyNumberOfThreads) {
  const JudgedChannels channels = reference_channels();
  const MeasurePlan plan(
      {measure_options(response_deviation, {40, 1000}), measure_options(deepest_notch, {60, 1400}),
       measure_options(cancellation_loss, {60, 300})},
      channels.setting());
  std::vector<Measured> measured(64);
  parallel_for(measured.size(), [&](std::size_t i) {
    MeasureWorkspace work = plan.workspace();
    plan.evaluate(channels.heard(), work, measured[i]);
  });
  for (const Measured& one : measured) EXPECT_EQ(one.over_seats, measured.front().over_seats);
}

}  // namespace
}  // namespace cabinfield::test
