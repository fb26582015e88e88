// The verb that begins a scene, as a person meets it: files of lengths, questions, slips.
#include <gtest/gtest.h>

#include <filesystem>

#include "command/program.h"

namespace cabinfield::test {
namespace {

namespace fs = std::filesystem;
const std::string shapes[] = {"hatchback", "estate",         "saloon", "coupe",
                              "suv",       "people-carrier", "pickup", "van"};

TEST(Start, EveryShapeWithEveryPlaceTakenPassesCheck) {
  const TemporaryFolder folder;
  for (const std::string& shape : shapes) {
    const std::string scene = folder.file(shape + ".yaml");
    const ProgramRun start =
        run_program({"start", shape, "-o", scene, "--drivers", "three-way,centre,rear,subwoofer"});
    EXPECT_EQ(start.status, 0) << shape << start.err;
    const ProgramRun check = run_program({"check", scene});
    EXPECT_EQ(check.status, 0) << shape << check.err << check.out;
    EXPECT_EQ(check.err, "") << shape;
    EXPECT_EQ(check.out.find("DOES NOT HOLD"), std::string::npos);
    EXPECT_NE(bytes_of(scene).find("# scenes/README.md explains every section."), std::string::npos);
  }
}

TEST(Start, WithoutDriversLeavesTheirPlacesAsComments) {
  const TemporaryFolder folder;
  const std::string scene = folder.file("s.yaml");
  ASSERT_EQ(run_program({"start", "hatchback", "-o", scene}).status, 0);
  std::string text = bytes_of(scene);
  EXPECT_NE(text.find("\n# drivers:\n"), std::string::npos);
  EXPECT_NE(text.find("\n#   tweeter_left: "), std::string::npos);
  EXPECT_EQ(run_program({"check", scene}).status, 0);
  // The mark and the space before its lines removed, as the file says, a place is taken.
  const std::size_t from = text.find("# drivers:\n"), to = text.find("#   midrange_left:");
  std::string taken;
  for (const std::string& line : lines_of(text.substr(from, to - from))) taken += line.substr(2) + "\n";
  text.replace(from, to - from, taken);
  const ProgramRun check = run_program({"check", folder.write("taken.yaml", text)});
  EXPECT_EQ(check.status, 0) << check.err;
  EXPECT_NE(check.out.find("tweeter_right"), std::string::npos);
}

TEST(Start, TheFormItPrintsIsAFileOfLengths) {
  const TemporaryFolder folder;
  for (const std::string& shape : shapes) {
    const ProgramRun form = run_program({"start", shape, "--form"});
    EXPECT_EQ(form.status, 0);
    const std::size_t names = lines_of(form.out).size() - 2;
    EXPECT_GE(names, 8U) << form.out;
    EXPECT_LE(names, 10U) << "as many as a person tapes with one hand in a few minutes";
    const ProgramRun run = run_program(
        {"start", shape, "-o", folder.file("s.yaml"), "--tape", folder.write("t.yaml", form.out)});
    EXPECT_EQ(run.status, 0) << run.err;
    EXPECT_NE(run.out.find("from 0 taped lengths"), std::string::npos) << run.out;
  }
}

struct Slip {
  const char *shape, *tapes, *words;
};

TEST(Start, SlipsAreFaultsInTheWordsOfTheQuestion) {
  const TemporaryFolder folder;
  const Slip slips[] = {
      {"hatchbak", "", "unknown shape 'hatchbak'; did you mean 'hatchback'?"},
      {"lorry", "", "unknown shape 'lorry'; known: coupe, estate"},
      {"../hatchback", "", "unknown shape"},
      {"hatchback", "roof_hight: 1.2 m\n",
       "t.yaml:1:1: a hatchback has no tape 'roof_hight'; did you mean 'roof_height'?"},
      {"hatchback", "roof_height: 1200\n", "t.yaml:1:14: roof_height '1200' has no unit"},
      {"hatchback", "roof_height: 12 kg\n", "t.yaml:1:14: roof_height '12 kg' is a mass"},
      {"hatchback", "- 1200 mm\n", "a line NAME: LENGTH for each tape"},
      {"hatchback", "roof_height: 2.1 m\n",
       "roof_height (from the front carpet straight up to the roof, at the driver's head): 2100 mm is taped, "
       "usual in a "
       "hatchback are"},
      {"hatchback", "roof_height: 1.12 m\near_height: 1.14 m\n",
       "t.yaml:2:13: ear_height (from the front carpet straight up to the driver's ear), 1140 mm, against "
       "roof_height (from "
       "the front carpet straight up to the roof, at the driver's head), 1120 mm: the head would be above "
       "the roof"},
      {"pickup", "inside_length: 1.55 m\nelbow_width: 1.60 m\n", "the car would be wider than it is long"},
      {"hatchback",
       "inside_length: 2.00 m\near_to_windscreen: 1.15 m\nrow_spacing: 1.10 m\nboot_length: 0.35 m\n",
       "contradicts the other lengths"},
  };
  for (const Slip& slip : slips) {
    const std::string scene = folder.file("never.yaml");
    const ProgramRun run =
        run_program({"start", slip.shape, "-o", scene, "--tape", folder.write("t.yaml", slip.tapes)});
    EXPECT_EQ(run.status, 2) << slip.words << "\n" << run.out << run.err;
    EXPECT_NE(run.err.find(slip.words), std::string::npos) << slip.words << "\nin\n" << run.err;
    EXPECT_FALSE(fs::exists(scene)) << slip.words;
  }
}

TEST(Start, OtherSlipsOfTheCommandLine) {
  const TemporaryFolder folder;
  const std::string scene = folder.file("s.yaml");
  const std::pair<std::vector<std::string>, const char*> slips[] = {
      {{"start", "hatchback"}, "give the scene file to write"},
      {{"start", "hatchback", "-o", scene, "--drivers", "two-weg"}, "did you mean 'two-way'?"},
      {{"start", "hatchback", "-o", scene, "--drivers", "centre"}, "give either two-way or three-way"},
      {{"start", "hatchback", "-o", scene, "--drivers", "two-way,three-way"},
       "give either two-way or three-way"},
      {{"start", "hatchback", "-o", scene, "--tape", folder.file("nowhere.yaml")}, "there is no such file"},
      {{"start", "hatchback", "-o", scene, "--wheel", "middle"}, "--wheel"},
  };
  for (const auto& [arguments, words] : slips) {
    const ProgramRun run = run_program(arguments);
    EXPECT_EQ(run.status, 2) << words;
    EXPECT_NE(run.err.find(words), std::string::npos) << run.err;
    EXPECT_FALSE(fs::exists(scene));
  }
  const std::string lengths = folder.write("t.yaml", "roof_height: 1.2 m\n");
  const ProgramRun same = run_program({"start", "hatchback", "-o", lengths, "--tape", lengths});
  EXPECT_EQ(same.status, 2);
  EXPECT_EQ(bytes_of(lengths), "roof_height: 1.2 m\n");
}

TEST(Start, UnusualLengthsDrawAWarning) {
  const TemporaryFolder folder;
  const ProgramRun run = run_program({"start", "hatchback", "-o", folder.file("s.yaml"), "--tape",
                                      folder.write("t.yaml", "head_spacing: 0.62 m\n")});
  EXPECT_EQ(run.status, 0);
  EXPECT_NE(run.err.find("warning: "), std::string::npos);
  EXPECT_NE(run.err.find("head_spacing (straight across"), std::string::npos) << run.err;
}

ProgramRun answer(const TemporaryFolder& folder, const std::string& answers) {
  folder.write("answers", answers);
  return run_shell("cabinfield start hatchback -o asked.yaml --ask <answers", folder.path());
}

TEST(StartAsking, TakesMillimetresCentimetresInchesAndCorrections) {
  const TemporaryFolder folder;
  // inside_length in mm, roof_height bare, ear_height wrong then corrected by going back, then cm and in.
  const ProgramRun run = answer(folder,
                                "2400 mm\n1250\n1300\nback\n990\n36 in\n\n142 cm\n\n0.75 m\n\n\n"
                                "2: 124 cm\n\n");
  ASSERT_EQ(run.status, 0) << run.err << run.out;
  const std::string text = bytes_of(folder.file("asked.yaml"));
  for (const char* line : {"length: 2400 mm}   # inside_length", "length: 1240 mm}   # roof_height",
                           "length: 990 mm}   # ear_height", "length: 914 mm}   # ear_to_windscreen",
                           "length: 1420 mm}   # elbow_width", "length: 750 mm}   # head_spacing"})
    EXPECT_NE(text.find(line), std::string::npos) << line << "\n" << text.substr(text.find("\ntape:"));
  EXPECT_NE(text.find("# Not taped, so in proportion from the shape: sill_height, shoulder_width, "
                      "row_spacing, boot_length."),
            std::string::npos);
  // A drawing stands beside every question.
  EXPECT_NE(run.out.find("*****"), std::string::npos);
  EXPECT_NE(run.out.find("seen from the left"), std::string::npos);
  EXPECT_NE(run.out.find("seen from behind"), std::string::npos);
  EXPECT_EQ(run_program({"check", folder.file("asked.yaml")}).status, 0);
}

TEST(StartAsking, DoesNotWriteWhatContradicts) {
  const TemporaryFolder folder;
  const ProgramRun wrong = answer(folder, "\n1120 mm\n1140 mm\n\n\n\n\n\n\n\n\n");
  EXPECT_EQ(wrong.status, 2);
  EXPECT_NE((wrong.out + wrong.err).find("the head would be above the roof"), std::string::npos) << wrong.out;
  EXPECT_FALSE(fs::exists(folder.file("asked.yaml")));
  const ProgramRun mended = answer(folder, "\n1120 mm\n1140 mm\n\n\n\n\n\n\n\n3: 93 cm\n\n");
  EXPECT_EQ(mended.status, 0) << mended.err;
  EXPECT_TRUE(fs::exists(folder.file("asked.yaml")));
}

TEST(StartAsking, EndsWithoutAFileWhereTheAnswersEnd) {
  const TemporaryFolder folder;
  const ProgramRun run = answer(folder, "2400 mm\nabc\n12 kg\n");
  EXPECT_EQ(run.status, 2);
  EXPECT_NE(run.err.find("the answers ended before 'roof_height'"), std::string::npos) << run.err;
  EXPECT_FALSE(fs::exists(folder.file("asked.yaml")));
}

TEST(CheckPicture, DrawsBesideTheTables) {
  const TemporaryFolder folder;
  const std::string scene = folder.file("s.yaml");
  ASSERT_EQ(run_program({"start", "suv", "-o", scene, "--drivers", "two-way", "--quiet"}).status, 0);
  const ProgramRun run = run_program({"check", scene, "--picture", folder.file("p.svg")});
  EXPECT_EQ(run.status, 0) << run.err;
  EXPECT_NE(bytes_of(folder.file("p.svg")).find("tweeter, both"), std::string::npos);
  const std::string before = bytes_of(scene);
  EXPECT_EQ(run_program({"check", scene, "--picture", scene}).status, 2);
  EXPECT_EQ(bytes_of(scene), before);
  EXPECT_EQ(run_program({"check", scene, "--picture", folder.file("nowhere/p.svg")}).status, 3);
}

TEST(CheckFitShape, MovesTheBodyAndTellsWhatRemains) {
  const TemporaryFolder folder;
  const std::string scene = folder.file("s.yaml"), moved = folder.file("moved.yaml");
  ASSERT_EQ(run_program({"start", "hatchback", "-o", scene, "--quiet"}).status, 0);
  const std::string text = bytes_of(scene);
  // 90 mm off: a fault of its own, and what the fit is for.
  folder.write("s.yaml", text +
                             "tape:\n  - {from: seats.driver, to: seats.rear_left, length: 940 mm}\n"
                             "  - {from: seats.driver, to: seats.passenger, length: 74 cm}\n");
  EXPECT_EQ(run_program({"check", scene}).status, 2);
  const ProgramRun fit = run_program({"check", scene, "--fit-shape", "-o", moved});
  EXPECT_EQ(fit.status, 0) << fit.err;
  EXPECT_NE(fit.out.find("another row's heads"), std::string::npos) << fit.out;
  EXPECT_NE(fit.out.find("What remains: "), std::string::npos);
  EXPECT_NE(fit.out.find("hardly checked by the others"), std::string::npos);
  EXPECT_EQ(run_program({"check", moved}).status, 0);
  EXPECT_NE(bytes_of(moved).find("# the side view, clockwise from the driver's heels"), std::string::npos);

  const std::string before = bytes_of(scene);
  EXPECT_EQ(run_program({"check", scene, "--fit-shape", "-o", scene}).status, 2);
  EXPECT_EQ(bytes_of(scene), before);
  EXPECT_EQ(run_program({"check", scene, "-o", moved}).status, 2);
}

TEST(CheckFitShape, KeepsTheUnitAndTheSeatsReferencesOfTheFile) {
  const TemporaryFolder folder;
  const std::string moved = folder.file("moved.yaml");
  const std::string pickup = std::string(CABINFIELD_SOURCE_DIR) + "/scenes/pickup.yaml";
  // In centimetres, its heads from where cushion and back meet, one of its tapes to a driver; all three
  // agree.
  const ProgramRun fit = run_program({"check", pickup, "--fit-shape", "-o", moved});
  EXPECT_EQ(fit.status, 0) << fit.err;
  EXPECT_EQ(fit.out.find("LOOKS WRONG"), std::string::npos) << fit.out;
  const ProgramRun check = run_program({"check", moved});
  EXPECT_EQ(check.status, 0) << check.err << check.out;
  EXPECT_EQ(lines_of(bytes_of(moved)).size(), lines_of(bytes_of(pickup)).size());
}

TEST(CheckFitShape, SaysWhatItLacks) {
  const TemporaryFolder folder;
  const ProgramRun run = run_program({"check", folder.write("s.yaml", "cabinfield: 1\n"), "--fit-shape"});
  EXPECT_EQ(run.status, 2);
  for (const char* words : {"no side view to move", "no seats", "no tape: to agree with"})
    EXPECT_NE(run.err.find(words), std::string::npos) << run.err;
  const ProgramRun unknown = run_program(
      {"check",
       folder.write(
           "u.yaml",
           "cabinfield: 1\ncabin:\n  profile: [{x: 0, z: 0, surface: a}, {x: 0, z: 1, surface: b}, {x: 2, z: "
           "1, surface: c}, {x: 2, z: 0, surface: d}]\n  sides: [{z: 0, y: 0.7, surface: e}, {z: 1, y: "
           "0.7}]\nseats: {driver: {head: [1, 0, 0.7]}}\ntape: [{from: seats.drivr, to: roof, length: 1 "
           "m}]\n"),
       "--fit-shape"});
  EXPECT_EQ(unknown.status, 2);
  EXPECT_NE(unknown.err.find("'seats.drivr' is not in the scene"), std::string::npos) << unknown.err;
  EXPECT_NE(unknown.err.find("'roof' is not in the scene"), std::string::npos) << unknown.err;
}

TEST(KeysSchema, IsPrintedForEachKindOfFile) {
  for (const char* kind : {"scene", "driver", "material", "filling", "shape", "study"}) {
    const ProgramRun run = run_program({"keys", "--schema", kind});
    EXPECT_EQ(run.status, 0);
    EXPECT_TRUE(run.out.starts_with("{\"$schema\":")) << run.out.substr(0, 40);
  }
  EXPECT_EQ(run_program({"keys", "--schema", "scenery"}).status, 2);
}

}  // namespace
}  // namespace cabinfield::test
