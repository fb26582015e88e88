// Faulty studies: each fault with its source location and message, and no other.
#include <gtest/gtest.h>

#include <algorithm>

#include "study/study_text.h"

namespace cabinfield::test {
namespace {

struct BadStudy {
  std::string name;
  std::string text;                 ///< from line 3 on
  std::vector<std::string> faults;  ///< the start of each, as "LINE:COLUMN: message"
};

const std::string judged = "judge: [{measure: level, band: [50 Hz, 400 Hz]}]\n";
const std::string varied = "vary: [{mute: [sub]}]\n";

std::vector<BadStudy> bad_studies() {
  return {
      {"UnknownKey", "moves: []\n" + varied + judged, {"3:1: unknown key 'moves'; did you mean 'move'?"}},
      {"Nothing", "title: x\n" + judged, {"1:1: the study varies nothing: give move, vary or paint"}},
      {"NoJudge", varied, {"1:1: key 'judge' is missing"}},
      {"UnknownPreset", "preset: three\n" + varied + judged, {"3:9: unknown preset 'three'"}},
      {"UnknownPath",
       "vary:\n  - {set: channels.left.lowpas.frequency, to: [2 kHz, 3 kHz]}\n" + judged,
       {"4:11: setting 'channels.left.lowpas.frequency' is unknown: channels.left has no 'lowpas'; did you "
        "mean "
        "'lowpass'?"}},
      {"UnknownEntry",
       "vary:\n  - {set: [channels.sub.gain, channels.subb.gain], to: [1 dB]}\n" + judged,
       {"4:31: setting 'channels.subb.gain' is unknown: channels has no 'subb'; did you mean 'sub'?"}},
      {"ValueOfAPath",
       "vary:\n  - {set: channels.sub.gain, to: [1 dB, 3, 90 dB]}\n" + judged,
       {"4:41: channel 'sub': gain '3'", "4:44: channel 'sub': gain 90 dB is outside"}},
      {"EmptyAxes",
       "move:\n  - {driver: sub, places: {}}\n  - {driver: sub, aims: {}}\nvary:\n  - {set: "
       "channels.sub.gain, to: []}\n" +
           judged,
       {"4:5: 'sub' has nothing to choose from", "5:5: 'sub aim' has nothing to choose from",
        "7:34: vary 1: to has 0 items, expected at least 1"}},
      {"NoKindOfMove", "move:\n  - {driver: sub}\n" + judged, {"4:5: this move has nothing to choose from"}},
      {"TwoKindsOfMove",
       "move:\n  - {driver: sub, aims: {a: as_drawn}, loadings: {a: as_drawn}}\n" + judged,
       {"4:5: a move has only one of places, grid, line"}},
      {"UnknownDriver",
       "move:\n  - {driver: mid_lft, places: {a: as_drawn}}\n" + judged,
       {"4:14: unknown driver 'mid_lft'; did you mean 'mid_left'?"}},
      {"NoDriver", "move:\n  - {places: {a: as_drawn}}\n" + judged, {"4:5: key 'driver' is missing"}},
      {"UnknownSurface",
       "move:\n  - {driver: mid_left, places: {a: {position: [0.7, -0.7, 0.3], surface: lfet, loading: "
       "infinite_baffle, without: [setback]}}}\n"
       "  - {driver: sub, grid: {over: dash.topp, spacing: 100 mm}}\n" +
           judged,
       {"4:74: unknown surface 'lfet'; did you mean 'left'?",
        "5:32: unknown surface 'dash.topp'; did you mean 'dash.top'?"}},
      {"UnknownPlaceKey",
       "move:\n  - driver: mid_left\n    places: {a: {positon: [0.7, -0.7, 0.3]}, b: {without: [grill]}, c: "
       "as_drwn}\n" +
           judged,
       {"5:18: unknown key 'positon' in place 'a'; did you mean 'position'?",
        "5:72: move 1: places 'c' 'as_drwn' is not known; did you mean 'as_drawn'?"}},
      {"WithoutAKey",
       "move:\n  - driver: mid_left\n    places: {b: {without: [grill]}}\n" + judged,
       {"5:28: unknown key of a driver 'grill'; did you mean 'grille'?"}},
      {"OutsideTheCabin",
       "move:\n  - driver: mid_left\n    places: {a: {position: [0.7, -0.9, 0.3]}, b: {position: [5, 0, "
       "0.3], without: "
       "[surface, setback]}}\n"
       "  - {driver: sub, line: {from: [1.75, 0, 0.3], to: [1.75, 0.4, 0.3], count: 3}}\n" +
           judged,
       {"5:28: driver 'mid_left' at (0.700, -0.900, 0.300) is 200 mm from surface 'left'",
        "5:61: driver 'mid_left' at (5.000, 0.000, 0.300) is outside the cabin",
        "6:25: driver 'sub' at (1.750, 0.400, 0.300) is 150 mm from surface 'tub.top'"}},
      {"GridWithoutAPoint",
       "move:\n  - {driver: sub, grid: {over: floor, spacing: 100 mm, margin: 800 mm}}\n" + judged,
       {"4:32: a grid of 100 mm has no point on surface 'floor' that is at least 800 mm from its edges"}},
      {"GridTooFine",
       "move:\n  - {driver: sub, grid: {over: floor, spacing: 1 mm}}\n" + judged,
       {"4:48: grid of move 1: spacing 1 mm is outside 0.005 m to 2 m"}},
      {"LineOfNothing",
       "move:\n  - {driver: sub, name: a, line: {from: [1, 0, 0], to: [1, 0, 0], count: 3}}\n"
       "  - {driver: sub, name: b, line: {from: [1, 0, 0], to: [2, 0, 0]}}\n" +
           judged,
       {"4:56: the line starts and ends at the same point",
        "5:34: a line needs either a count of positions or a spacing"}},
      {"UnknownBlocks",
       "move:\n  - {shift: {blocks: [seat_lef]}, by: [[0, 0, 0.1]]}\n"
       "vary:\n  - {choices: {a: {remove_blocks: [dahs]}}}\n" +
           judged,
       {"4:23: setting 'cabin.blocks.seat_lef' is unknown: cabin.blocks has no 'seat_lef'; did you mean "
        "'seat_left'?",
        "6:36: setting 'cabin.blocks.dahs' is unknown: cabin.blocks has no 'dahs'; did you mean 'dash'?"}},
      {"Shifts",
       "move:\n  - {name: a, shift: {seats: [driver]}, by: [[0, 0]]}\n  - {name: b, shift: {seats: "
       "[driver]}}\n"
       "  - {name: c, shift: {}, by: [[0, 0, 1]]}\n" +
           judged,
       {"4:46: a shift cannot be a list: give three bare numbers", "5:5: key 'by' is missing",
        "6:22: the shift is empty"}},
      {"UnknownMuted",
       "vary: [{mute: [sub, front]}]\n" + judged,
       {"3:21: unknown channel or group 'front'; did you mean 'fronts'?"}},
      {"TwoOfOneName",
       "vary:\n  - {set: channels.sub.gain, to: [1 dB]}\n  - {set: channels.sub.gain, to: [2 dB]}\n" + judged,
       {"5:5: two entries of move and vary are named 'channels.sub.gain'"}},
      {"OneChoiceTwice",
       "vary:\n  - {set: channels.sub.gain, to: [1 dB, 2 dB, 1 dB]}\n" + judged,
       {"4:5: 'channels.sub.gain' has two choices named '1 dB'"}},
      {"Combinations",
       "vary:\n  - {name: low, set: channels.sub.gain, to: [1 dB, 2 dB]}\ncombine: listed\ncombinations:\n"
       "  - {lo: 1 dB}\n  - {low: 3 dB}\n  - {low: 3}\n" +
           judged,
       {"7:6: unknown move or vary 'lo'", "8:11: unknown choice of 'low' '3 dB'",
        "9:11: unknown choice of 'low' '3'"}},
      {"ListedWithoutAList", varied + "combine: listed\n" + judged, {"4:10: key 'combinations' is missing"}},
      {"AListForAGrid",
       varied + "combinations: [{mute: 1}]\n" + judged,
       {"4:15: combinations need combine: listed"}},
      {"NegativeSpreads",
       varied +
           "doubt: {tape: -10 mm, ears: {up: -1 mm}, driver_q: -5 %, material_impedance: 0.5, driver_level: "
           "-1 dB,\n"
           "  temperature: [35 degC, 0 degC]}\n" +
           judged,
       {"4:15: doubt: tape -10 mm is outside", "4:34: ears of doubt: up -1 mm is outside",
        "4:52: doubt: driver_q -5 % is outside", "4:78: doubt: material_impedance 0.5 is outside",
        "4:97: doubt: driver_level -1 dB is outside",
        "5:16: doubt: temperature: the first value is above the second"}},
      {"Bands",
       varied + "before_judging: {set_levels: {band: [300 Hz, 60 Hz]}}\njudge:\n"
                "  - {measure: level, band: [1 kHz, 2 kHz]}\n"
                "  - {measure: evenness, band: [400 Hz, 100 Hz]}\n",
       {"4:37: set_levels: the band from 300 to 60 Hz must end above where it begins",
        "6:28: measure 'level': the band from 1000 to 2000 Hz has no computed frequency in it",
        "7:31: measure 'evenness': the band from 400 to 100 Hz must end above where it begins"}},
      // Each band contains a frequency (50 Hz, 100 Hz), but is hardly covered.
      {"BandsThatCannotBeJudged",
       varied + "before_judging: {set_levels: {band: [5 Hz, 50 Hz]}}\njudge:\n"
                "  - {measure: level, band: [5 Hz, 50 Hz]}\n"
                "  - {measure: deepest_notch, band: [10 Hz, 60 Hz]}\n"
                "  - {measure: evenness, band: [95 Hz, 105 Hz]}\n",
       {"4:37: set_levels: the band from 5 to 50 Hz lies more than half outside the computed frequencies",
        "6:28: measure 'level': the band from 5 to 50 Hz lies more than half outside",
        "7:36: measure 'deepest_notch': the band from 10 to 60 Hz lies more than half outside",
        "8:31: measure 'evenness': the band from 95 to 105 Hz lies in one third octave"}},
      {"AimsOfSeveralSeats",
       varied + "judge:\n"
                "  - {measure: path_difference, pair: [left, right], aim: 15 mm}\n"
                "  - {measure: level, band: [50 Hz, 400 Hz], aim: 80 dB, over_seats: worst}\n"
                "  - {measure: path_difference, pair: [left, left], seats: [driver], aim: 15 mm}\n",
       {"5:58: measure 'path_difference': an aim needs a single seat: give each seat a measure of its own",
        "6:50: measure 'level': an aim needs a single seat",
        "7:38: measure 'path_difference' needs two different channels"}},
      {"Measures",
       varied + "judge:\n"
                "  - {measure: evennes, band: [50 Hz, 100 Hz]}\n"
                "  - {measure: level}\n"
                "  - {measure: arrival_spread, band: [50 Hz, 100 Hz]}\n"
                "  - {measure: power_share, band: [50 Hz, 100 Hz]}\n"
                "  - {measure: path_difference, pair: [left, rigt]}\n"
                "  - {measure: seat_spread, seats: [driver], band: [50 Hz, 100 Hz]}\n"
                "  - {measure: side_angle, seats: [driver, pasenger], target: {tilt: 1 dB}}\n"
                "  - {measure: loudest}\n"
                "  - {measure: deepest_notch, band: [50 Hz, 100 Hz], at_most: 3 mm, weight: -1}\n",
       {"5:15: measure 1: measure 'evennes' is not known; did you mean 'evenness'?",
        "6:15: measure 'level' needs a band, such as band: [60 Hz, 500 Hz]",
        "7:37: measure 'arrival_spread' takes no band",
        "8:15: measure 'power_share' needs the names of channels", "9:45: unknown channel or group 'rigt'",
        "10:35: measure 'seat_spread' needs at least two seats",
        "11:15: measure 'side_angle' needs computed frequencies from 200 to 1500 Hz",
        "11:43: unknown seat 'pasenger'", "11:62: measure 'side_angle': this measure takes no target",
        "12:15: measure 'loudest' needs a band", "13:76: measure 9: weight -1 is outside"}},
      {"LimitsInAnotherUnit",
       varied + "judge: [{measure: deepest_notch, band: [50 Hz, 100 Hz], at_most: 3 mm}]\n",
       {"4:66: measure 'deepest_notch': at_most"}},
      {"TwoMeasuresOfOneName",
       varied + "judge:\n  - {measure: level, band: [50 Hz, 100 Hz]}\n  - {measure: level, band: [50 Hz, 200 "
                "Hz]}\n",
       {"6:5: two measures are named 'level'"}},
      {"BeforeJudging",
       varied + "before_judging: {line_up_arrivals: drivr}\n" + judged,
       {"4:36: unknown seat 'drivr'; did you mean 'driver'?"}},
      {"BeforeJudgingNothingSaid", varied + "before_judging: {}\n" + judged, {"4:17: before_judging: give"}},
      {"Paint",
       "paint: {driver: subb, over: flor, spacing: 100 mm, judge_by: evenness}\n" + judged,
       {"3:17: unknown driver 'subb'; did you mean 'sub'?", "3:62: unknown measure 'evenness'"}},
      {"PaintOver",
       "paint: {driver: sub, over: flor, spacing: 100 mm, judge_by: level}\n" + judged,
       {"3:28: unknown surface 'flor'; did you mean 'floor'?"}},
      {"PaintWithoutAll",
       "paint: {driver: sub}\n" + judged,
       {"3:8: key 'over' is missing in paint", "3:8: key 'spacing' is missing in paint",
        "3:8: key 'judge_by' is missing in paint"}},
      {"AddedTwice",
       "vary: [{choices: {a: {add: {channels.sub: {}}}}}]\n" + judged,
       {"3:29: setting 'channels.sub' exists already"}},
  };
}

class BadStudyFile : public SmallStudy, public testing::WithParamInterface<BadStudy> {};

TEST_P(BadStudyFile, GivesItsFaultsAndNoOther) {
  const std::string text = faults(GetParam().text);
  std::vector<std::string> lines = lines_of(text);
  std::erase(lines, "");
  const std::vector<std::string>& expected = GetParam().faults;
  EXPECT_EQ(lines.size(), expected.size()) << text;
  for (std::size_t i = 0; i < std::min(lines.size(), expected.size()); ++i)
    EXPECT_TRUE(lines[i].starts_with(expected[i])) << "expected " << expected[i] << "\nin\n" << text;
  EXPECT_FALSE(read(GetParam().text).study);
}

INSTANTIATE_TEST_SUITE_P(Files, BadStudyFile, testing::ValuesIn(bad_studies()),
                         [](const auto& study) { return study.param.name; });

TEST_F(SmallStudy, AimForTheMeanOfSeveralSeatsIsValid) {
  const StudyFile file = read(varied + "judge: [{measure: level, band: [50 Hz, 400 Hz], aim: 80 dB}]\n");
  ASSERT_TRUE(file.study);
  EXPECT_EQ(file.study->judge.front().judgement.aim, 80);
}

TEST_F(SmallStudy, OneFrequencyIsNotABand) {
  std::string one = small_scene;
  const std::string list = "[50 Hz, 100 Hz, 200 Hz, 400 Hz]";
  folder_.write("scene.yaml", one.replace(one.find(list), list.size(), "[60 Hz]"));
  EXPECT_TRUE(faults(varied + "judge: [{measure: level, band: [50 Hz, 70 Hz]}]\n")
                  .starts_with("4:32: measure 'level': the band from 50 to 70 Hz lies more than half outside "
                               "the computed frequencies"));
}

TEST_F(SmallStudy, ImpossiblePositionsAreNotFaultsIfSkipped) {
  const Study study = sound(
      "move: [{driver: sub, line: {from: [1.75, 0, 0.3], to: [1.75, 0.4, 0.3], count: 3}}]\nskip_impossible: "
      "yes\n");
  EXPECT_TRUE(study.scene_file(0).scene);
  const SceneFile far = study.scene_file(2);
  EXPECT_FALSE(far.scene);
  ASSERT_FALSE(far.faults.faults().empty());
  EXPECT_NE(far.faults.faults().front().message.find("its position is"), std::string::npos);
}

TEST_F(SmallStudy, ContradictingAxesMakeAVariantImpossible) {
  const Study study = sound(R"(vary:
  - {name: gain, set: channels.sub.gain, to: [1 dB]}
  - {name: without, choices: {all: as_drawn, none: {remove: [channels.sub, groups.lows]}}}
  - {name: last, set: channels.sub.delay, to: [1 ms]}
)");
  EXPECT_TRUE(study.scene_file(0).scene);
  const SceneFile file = study.scene_file(1);
  EXPECT_FALSE(file.scene);
  ASSERT_EQ(file.faults.faults().size(), 1U);
  EXPECT_NE(file.faults.faults()[0].message.find("channels has no 'sub'"), std::string::npos);
}

TEST_F(SmallStudy, FaultsOfTheSceneAreReportedInTheScene) {
  std::string text = small_scene;
  text.replace(text.find("order: 2"), 8, "order: 99");
  folder_.write("scene.yaml", text);
  const StudyFile file = read("vary: [{mute: [sub]}]\nmoves: []\n");
  EXPECT_FALSE(file.study);
  ASSERT_EQ(file.faults.faults().size(), 2U);
  EXPECT_EQ(file.faults.faults()[0].location.file, folder_.file("scene.yaml"));
  EXPECT_EQ(file.faults.faults()[1].location, (SourceLocation{folder_.file("study.yaml"), 4, 1}));
}

TEST_F(SmallStudy, StudyWithoutASceneOrVersionIsRejected) {
  const auto first = [&](const std::string& text) {
    const StudyFile file = read_study_text(text, folder_.file("study.yaml"));
    return file.faults.any()
               ? to_string(file.faults.sorted().front()).substr(folder_.file("study.yaml").size())
               : "";
  };
  EXPECT_EQ(first("cabinfield_study: 1\nscene: nowhere.yaml\n").substr(0, 39),
            ":2:8: there is no scene 'nowhere.yaml':");
  EXPECT_EQ(first("cabinfield_study: 1\n").substr(0, 34), ":1:1: key 'scene' is missing: give");
  EXPECT_EQ(first("scene: scene.yaml\nvary: [{mute: [sub]}]\n").substr(0, 40),
            ":1:1: key 'cabinfield_study' is missing:");
  EXPECT_EQ(first("cabinfield_study: 2\nscene: scene.yaml\nvary: [{mute: [sub]}]\n" + judged).substr(0, 6),
            ":1:19:");
  EXPECT_EQ(first("[]\n").substr(0, 5), ":1:1:");
  EXPECT_EQ(read_study_file(folder_.file("no.yaml")).faults.faults().size(), 1U);
}

}  // namespace
}  // namespace cabinfield::test
