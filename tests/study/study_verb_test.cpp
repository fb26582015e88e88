// `cabinfield study` on the command line: scenes of variants, limits, impossible variants, exit status.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "storage/hdf5_reading.h"
#include "study/study_folder.h"

namespace cabinfield::test {
namespace {

namespace fs = std::filesystem;
using Names = std::vector<std::string>;

const std::string head = "cabinfield_study: 1\nscene: scene.yaml\n";
const std::string judged = "judge: [{measure: evenness, band: [50 Hz, 400 Hz]}]\n";
const std::string six = "vary:\n  - {set: channels.sub.gain, to: [0 dB, 3 dB, 6 dB]}\n  - {mute: [left]}\n";

class StudyVerb : public StudyFolder {
 protected:
  const Names inputs{"scene.yaml", "study.yaml"};

  std::map<std::string, reading::StoredDataset> stored() const {
    std::map<std::string, reading::StoredDataset> all;
    for (auto& dataset : reading::read_all(output)) all.emplace(dataset.path, dataset);
    return all;
  }
  /// Status 2, this message, and no file written.
  void expect_refused(const ProgramRun& done, const std::string& words) const {
    EXPECT_EQ(done.status, 2) << done.out;
    EXPECT_NE(done.err.find(words), std::string::npos) << done.err;
    EXPECT_EQ(done.out, "");
    EXPECT_EQ(folder.names(), inputs) << words;
  }
};

bool holds(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

TEST_F(StudyVerb, GivesTheSameSidesForAnyNumberOfThreads) {
  std::string scene_of_sides = small_scene;
  const std::string list = "{list: [50 Hz, 100 Hz, 200 Hz, 400 Hz]}";
  folder.write("scene.yaml", scene_of_sides.replace(scene_of_sides.find(list), list.size(),
                                                    "{from: 100 Hz, to: 2 kHz, per_octave: 6}"));
  study(head +
        "vary:\n  - {set: air.temperature, to: [0 degC, 35 degC]}\n"
        "  - {set: channels.left.gain, to: [0 dB, 2 dB, 4 dB, 6 dB]}\n"
        "judge: [{measure: side_angle, seats: [driver]}]\ndoubt: {draws: 10}\n");
  const ProgramRun one = run({"--threads", "1"});
  ASSERT_EQ(one.status, 0) << one.err;
  const std::string by_one = bytes_of(output);
  const ProgramRun four = run({"--threads", "4"});
  ASSERT_EQ(four.status, 0) << four.err;
  EXPECT_TRUE(bytes_of(output) == by_one);
}

TEST_F(StudyVerb, EndsWithAFileAndATable) {
  study(head + "title: Bass (invented)\n" + six + judged);
  const ProgramRun done = run_program({"study", folder.file("study.yaml"), "-o", output});
  EXPECT_EQ(done.status, 0) << done.err;
  for (const char* words : {"Bass (invented)", "6 variants of ", "evenness [dB]", "as drawn", "sub adds "})
    EXPECT_TRUE(holds(done.out, words)) << words << "\n" << done.out;
  EXPECT_EQ(folder.names(), (Names{"S.h5", "scene.yaml", "study.yaml"}));
  const auto file = stored();
  // The table's rows are the file's ranking.
  const auto& rank = file.at("/variants/rank").numbers;
  std::vector<std::size_t> at;
  for (std::size_t r = 0; r < 6; ++r) {
    const auto variant = static_cast<std::size_t>(std::find(rank.begin(), rank.end(), r) - rank.begin());
    ASSERT_LT(variant, 6U);
    const std::string row = file.at("/variants/label").texts[variant] + " ";
    at.push_back(done.out.find("  " + row));
    EXPECT_NE(at.back(), std::string::npos) << row;
  }
  EXPECT_TRUE(std::is_sorted(at.begin(), at.end())) << done.out;
}

TEST_F(StudyVerb, QuietSaysNothing) {
  study(head + six + judged);
  const ProgramRun done = run();
  EXPECT_EQ(done.status, 0);
  EXPECT_EQ(done.out + done.err, "");
}

TEST_F(StudyVerb, WritesTheSceneOfAVariant) {
  study(head +
        "preset: two\nmove: [{driver: mid_left, places: {here: as_drawn, low: {position: [0.6, -0.7, "
        "0.2]}}}]\n" +
        six + judged);
  // 0 to 11: places slowest, then the gain, then muted or not. 9: low, 3 dB, muted.
  for (const int variant : {0, 9}) {
    const std::string written = folder.file("variant.yaml");
    const ProgramRun done = run_program(
        {"study", folder.file("study.yaml"), "-o", written, "--write-scene", std::to_string(variant)});
    ASSERT_EQ(done.status, 0) << done.err;
    EXPECT_EQ(folder.names(), (Names{"scene.yaml", "study.yaml", "variant.yaml"})) << "and judges nothing";
    const ProgramRun checked = run_program({"check", written});
    EXPECT_LE(checked.status, 1) << checked.err;
    const ProgramRun predicted = run_program({"predict", written, "-o", folder.file("R.h5"), "--quiet"});
    ASSERT_LE(predicted.status, 1) << predicted.err;
    std::map<std::string, reading::StoredDataset> file;
    for (auto& dataset : reading::read_all(folder.file("R.h5"))) file.emplace(dataset.path, dataset);
    const auto& location = file.at("/geometry/driver_position").numbers;
    EXPECT_EQ((std::vector<double>{location[0], location[2]}),
              (variant == 0 ? std::vector<double>{0.7, 0.3} : std::vector<double>{0.6, 0.2}));
    const auto& name = file.at("/channel").texts;
    const auto at = [&](const char* channel) {
      return static_cast<std::size_t>(std::find(name.begin(), name.end(), channel) - name.begin());
    };
    const std::size_t preset = 2;
    EXPECT_NEAR(file.at("/settings/gain").numbers[preset * name.size() + at("sub")], variant == 0 ? 0 : 3,
                1e-12);
    EXPECT_EQ(file.at("/settings/mute").numbers[preset * name.size() + at("left")], variant == 0 ? 0 : 1);
    fs::remove(folder.file("R.h5"));
    fs::remove(written);
  }
}

TEST_F(StudyVerb, TheSceneOfANonexistentVariantIsRefused) {
  study(head + six + judged);
  expect_refused(run({"--write-scene", "6"}), "--write-scene: 6 is outside 0 to 5: the study has 6 variants");
  expect_refused(run({"--write-scene", "-1"}), "--write-scene");
  expect_refused(run({"--write-scene", "first"}), "--write-scene");
  study(head +
        "vary: [{set: boxes.tub.sealed, to: [30 L, 5000 L]}]\nmove: [{driver: mid_left, places: {here: "
        "as_drawn, "
        "gone: {position: [9, 9, 9]}}}]\n" +
        judged);
  const ProgramRun gone = run({"--write-scene", "1"});
  EXPECT_EQ(gone.status, 2);
  EXPECT_FALSE(fs::exists(output));
}

TEST_F(StudyVerb, MoreVariantsThanTheLimitNeedYes) {
  study(head + six + judged + "most_variants: 5\n");
  expect_refused(run(), "6 variants, more than its limit of 5");
  EXPECT_TRUE(holds(run().err, "--yes"));
  EXPECT_EQ(run({"--yes"}).status, 0);
  EXPECT_EQ(stored().at("/variants/rank").numbers.size(), 6U);
  fs::remove(output);
  // Writing the scene of one variant does not need --yes.
  EXPECT_EQ(run({"--write-scene", "5"}).status, 0);
  fs::remove(output);
  study(head + six + judged + "most_variants: 6\n");
  EXPECT_EQ(run().status, 0);
}

TEST_F(StudyVerb, TheOutputMustNotBeTheStudyOrScene) {
  const std::string text = head + six + judged;
  study(text);
  for (const char* input : {"study.yaml", "scene.yaml", "./scene.yaml"})
    for (const Names& more : {Names{}, Names{"--write-scene", "0"}}) {
      Names all{"study", folder.file("study.yaml"), "-o", folder.file(input)};
      all.insert(all.end(), more.begin(), more.end());
      expect_refused(run_program(all), "is the study or its scene itself");
      EXPECT_EQ(bytes_of(folder.file("study.yaml")), text);
      EXPECT_EQ(bytes_of(scene), small_scene);
    }
  expect_refused(run_program({"study", folder.file("study.yaml"), "-o", ""}), "'' is not a file name");
  expect_refused(run_program({"study", folder.file("study.yaml")}), "--output");
}

TEST_F(StudyVerb, OutputWhereNoFileCanBe) {
  study(head + six + judged);
  for (const std::string& location :
       {folder.file("none") + "/S.h5", folder.path().string(), scene + "/S.h5"}) {
    const ProgramRun done = run_program({"study", folder.file("study.yaml"), "-o", location});
    EXPECT_EQ(done.status, 3) << location;
    EXPECT_TRUE(holds(done.err, "cannot be written: ")) << done.err;
    EXPECT_EQ(lines_of(done.err).size(), 1U) << done.err;
    EXPECT_EQ(folder.names(), inputs);
    EXPECT_FALSE(fs::exists(location + ".part")) << "reported before any work";
  }
}

/// Variants 1 and 2 lie outside the cabin.
const std::string some_impossible = head +
                                    "move:\n"
                                    "  - driver: mid_left\n"
                                    "    places:\n"
                                    "      here: as_drawn\n"
                                    "      far: {position: [0.7, -3, 0.3]}\n"
                                    "      high: {position: [0.7, -0.7, 7]}\n"
                                    "      rear: {position: [0.9, -0.7, 0.4]}\n" +
                                    judged;

TEST_F(StudyVerb, AllImpossibleVariantsAreReportedTogether) {
  study(some_impossible);
  const ProgramRun refused = run();
  expect_refused(refused, "study.yaml:7:");
  EXPECT_TRUE(holds(refused.err, "study.yaml:8:")) << refused.err;
  EXPECT_FALSE(holds(refused.err, "study.yaml:9:")) << refused.err;
  EXPECT_EQ(lines_of(refused.err).size(), 2U);
  // The user follows the advice, and nothing from the first try interferes.
  study(some_impossible + "skip_impossible: yes\n");
  EXPECT_EQ(run().status, 0);
}

TEST_F(StudyVerb, ImpossibleCombinationsAreReportedBeforeTheRanking) {
  // Each choice alone is sound; the driver cannot be where the other axis puts a block.
  study(head +
        "move:\n  - {driver: mid_left, places: {here: as_drawn, rear: {position: [0.9, -0.7, 0.4]}}}\n"
        "vary:\n  - name: box\n    choices:\n      none: as_drawn\n      built: {add_blocks: [{name: shelf, "
        "profile: [[0.8, 0.3], [1.0, 0.3], [1.0, 0.5], [0.8, 0.5]], y: [-0.8, -0.6]}]}\n" +
        judged);
  const ProgramRun refused = run();
  expect_refused(refused, "variant 3 (rear, built) is impossible: ");
  EXPECT_TRUE(holds(refused.err, "skip_impossible: true")) << refused.err;
}

TEST_F(StudyVerb, ImpossibleVariantsAreSkippedOnRequestAndTheRestRanked) {
  study(some_impossible + "skip_impossible: yes\n");
  const ProgramRun done = run_program({"study", folder.file("study.yaml"), "-o", output});
  EXPECT_EQ(done.status, 0) << done.err;
  EXPECT_TRUE(holds(done.out, "2 variants are impossible, left out:")) << done.out;
  EXPECT_TRUE(holds(done.out, "1 (far): ") && holds(done.out, "2 (high): ")) << done.out;
  const auto file = stored();
  EXPECT_EQ(file.at("/variants/possible").numbers, (std::vector<double>{1, 0, 0, 1}));
  const auto& rank = file.at("/variants/rank").numbers;
  EXPECT_EQ(rank[1], -1);
  EXPECT_EQ(rank[2], -1);
  EXPECT_EQ(rank[0] + rank[3], 1) << "the best is 0, the next 1";
  EXPECT_EQ(file.at("/impossible/variant").numbers, (std::vector<double>{1, 2}));
  for (const std::string& why : file.at("/impossible/why").texts) EXPECT_FALSE(why.empty());
  EXPECT_TRUE(std::isnan(file.at("/variants/value").numbers[1]));
  EXPECT_FALSE(std::isnan(file.at("/variants/value").numbers[3]));
}

TEST_F(StudyVerb, WithoutAPossibleVariantTheFileSaysSo) {
  study(head + "move: [{driver: mid_left, places: {far: {position: [0.7, -3, 0.3]}}}]\n" + judged +
        "skip_impossible: yes\n");
  const ProgramRun done = run_program({"study", folder.file("study.yaml"), "-o", output});
  EXPECT_EQ(done.status, 1) << done.err;
  EXPECT_TRUE(holds(done.out, "No variant can be judged.")) << done.out;
  EXPECT_EQ(stored().at("/variants/possible").numbers, std::vector<double>{0});
}

TEST_F(StudyVerb, BandWithoutAFrequencyIsAFault) {
  study(head + six + "judge: [{measure: evenness, band: [110 Hz, 190 Hz]}]\n");
  expect_refused(run(), "study.yaml:");
  EXPECT_TRUE(holds(run().err, "110")) << run().err;
}

TEST_F(StudyVerb, AllFaultsAreReportedWithTheirSourceLocations) {
  study(
      head +
      "vary: [{set: channels.subb.gain, to: [0 dB]}]\njudge: [{measure: evennes, band: [50 Hz, 400 Hz]}]\n" +
      "doubt: {tape: -10 mm}\n");
  const ProgramRun refused = run();
  expect_refused(refused, "study.yaml:3:");
  EXPECT_TRUE(holds(refused.err, "study.yaml:4:") && holds(refused.err, "study.yaml:5:")) << refused.err;
  expect_refused(run_program({"study", folder.file("none.yaml"), "-o", output}), "there is no such file");
}

TEST_F(StudyVerb, BestVariantThatBreaksALimitIsStatusOne) {
  const std::string limited = "judge: [{measure: level, band: [50 Hz, 400 Hz], at_least: LIMIT}]\n";
  const auto with = [&](const std::string& limit) {
    std::string text = limited;
    return head + six + text.replace(text.find("LIMIT"), 5, limit);
  };
  study(with("300 dB"));
  const ProgramRun broken = run_program({"study", folder.file("study.yaml"), "-o", output});
  EXPECT_EQ(broken.status, 1) << broken.err;
  EXPECT_TRUE(holds(broken.out, "1 limit broken")) << broken.out;
  EXPECT_TRUE(holds(broken.out, "Limits that ")) << broken.out;
  EXPECT_TRUE(fs::exists(output)) << "the file is written all the same";
  EXPECT_EQ(stored().at("/variants/broken_limits").numbers, std::vector<double>(6, 1));
  study(with("1 dB"));
  EXPECT_EQ(run().status, 0);
  // A limit between the variants' levels: those that keep it rank first.
  study(head + six + "judge: [{measure: level, band: [50 Hz, 400 Hz]}]\n");
  ASSERT_EQ(run().status, 0);
  std::vector<double> level = stored().at("/variants/value").numbers;
  std::sort(level.begin(), level.end());
  study(with(std::to_string(0.5 * (level[2] + level[3])) + " dB"));
  EXPECT_EQ(run().status, 0);
  const auto file = stored();
  for (std::size_t v = 0; v < 6; ++v)
    EXPECT_EQ(file.at("/variants/broken_limits").numbers[v] > 0, file.at("/variants/rank").numbers[v] >= 3);
}

TEST_F(StudyVerb, HelpHasAnExample) {
  const ProgramRun help = run_program({"study", "--help"});
  EXPECT_EQ(help.status, 0);
  for (const char* words : {"--write-scene", "--yes", "--start-over", "--quiet", "--threads", "Example:"})
    EXPECT_TRUE(holds(help.out, words)) << words;
}

}  // namespace
}  // namespace cabinfield::test
