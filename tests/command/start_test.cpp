// `cabinfield start` on the command line: files of lengths, questions, mistakes.
#include <gtest/gtest.h>

#include <filesystem>

#include "command/program.h"

namespace cabinfield::test {
namespace {

namespace fs = std::filesystem;
const std::string shapes[] = {"hatchback", "estate",         "saloon", "coupe",
                              "suv",       "people-carrier", "pickup", "van"};

TEST(Start, EveryShapeWithAllDriversPassesCheck) {
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

TEST(Start, WithoutDriversLeavesTheirPositionsAsComments) {
  const TemporaryFolder folder;
  const std::string scene = folder.file("s.yaml");
  ASSERT_EQ(run_program({"start", "hatchback", "-o", scene}).status, 0);
  std::string text = bytes_of(scene);
  EXPECT_NE(text.find("\n# drivers:\n"), std::string::npos);
  EXPECT_NE(text.find("\n#   tweeter_left: "), std::string::npos);
  EXPECT_EQ(run_program({"check", scene}).status, 0);
  // Uncommenting its lines, as the file says, adds a driver.
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
    EXPECT_NE(run.out.find("fitted to 0 measured lengths"), std::string::npos) << run.out;
  }
}

struct Slip {
  const char *shape, *tapes, *words;
};

TEST(Start, MistakesAreReportedInTheWordsOfTheQuestion) {
  const TemporaryFolder folder;
  const Slip slips[] = {
      {"hatchbak", "", "unknown shape 'hatchbak'; did you mean 'hatchback'?"},
      {"lorry", "", "unknown shape 'lorry'; known: coupe, estate"},
      {"../hatchback", "", "unknown shape"},
      {"hatchback", "roof_hight: 1.2 m\n",
       "t.yaml:1:1: the shape hatchback has no tape 'roof_hight'; did you mean 'roof_height'?"},
      {"hatchback", "roof_height: 1200\n", "t.yaml:1:14: roof_height '1200' has no unit"},
      {"hatchback", "roof_height: 12 kg\n", "t.yaml:1:14: roof_height '12 kg' is a mass"},
      {"hatchback", "- 1200 mm\n", "a line NAME: LENGTH for each tape"},
      {"hatchback", "roof_height: 2.1 m\n",
       "roof_height (from the front carpet straight up to the roof, at the driver's head): taped 2100 mm; "
       "the "
       "usual range for the shape hatchback is"},
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

TEST(Start, OtherMistakesOnTheCommandLine) {
  const TemporaryFolder folder;
  const std::string scene = folder.file("s.yaml");
  const std::pair<std::vector<std::string>, const char*> slips[] = {
      {{"start", "hatchback"}, "give the name of the scene file to write"},
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

TEST(Start, NeverOverwritesItsInputs) {
  const TemporaryFolder folder;
  const std::string lengths = "roof_height: 1.2 m\n";
  folder.write("mytapes.yaml", lengths);
  fs::create_symlink("mytapes.yaml", folder.path() / "link.svg");
  const std::pair<const char*, const char*> slips[] = {
      {"-o m.yaml --tape mytapes.yaml --sheet ./mytapes.yaml", "./mytapes.yaml is the file of lengths"},
      {"-o m.yaml --tape mytapes.yaml --sheet link.svg", "link.svg is the file of lengths"},
      {"-o m.yaml --tape mytapes.yaml --sheet \"$PWD/mytapes.yaml\"", "is the file of lengths"},
      {"-o ./mytapes.yaml --tape mytapes.yaml", "./mytapes.yaml is the file of lengths"},
      {"-o mine.yaml --sheet ./mine.yaml", "./mine.yaml is the scene file to write"},
      {"-o mine.yaml --sheet nowhere/../mine.yaml", "mine.yaml is the scene file to write"},
      {"--sheet ''", "--sheet: '' is not a file name"},
      {"-o ''", "--output: '' is not a file name"},
      {"-o m.yaml --tape ''", "--tape: '' is not a file name"},
      {"-o m.yaml --drivers ''", "--drivers: unknown ''"},
  };
  for (const auto& [arguments, words] : slips) {
    const ProgramRun run = run_shell("cabinfield start hatchback " + std::string(arguments), folder.path());
    EXPECT_EQ(run.status, 2) << arguments;
    EXPECT_NE(run.err.find(words), std::string::npos) << arguments << "\n" << run.err;
    EXPECT_EQ(bytes_of(folder.file("mytapes.yaml")), lengths) << arguments;
    EXPECT_EQ(folder.names(), (std::vector<std::string>{"link.svg", "mytapes.yaml"})) << arguments;
  }
}

TEST(Start, WritesNoSheetAfterAFault) {
  const TemporaryFolder folder;
  folder.write("bad.yaml", "roof_height: 12 kg\n");
  folder.write("old.svg", "old");
  const std::pair<const char*, int> slips[] = {{"-o s.yaml --tape bad.yaml", 2},
                                               {"-o s.yaml --drivers foo", 2},
                                               {"-o nowhere/s.yaml", 3},
                                               {"--tape bad.yaml", 2}};
  for (const auto& [arguments, status] : slips)
    for (const char* sheet : {"new.svg", "old.svg"}) {
      const ProgramRun run = run_shell(
          "cabinfield start hatchback --sheet " + std::string(sheet) + " " + arguments, folder.path());
      EXPECT_EQ(run.status, status) << arguments << run.err;
      EXPECT_EQ(bytes_of(folder.file("old.svg")), "old") << arguments;
      EXPECT_EQ(folder.names(), (std::vector<std::string>{"bad.yaml", "old.svg"})) << arguments;
    }
  EXPECT_EQ(run_shell("cabinfield start hatchback --sheet new.svg", folder.path()).status, 0);
  EXPECT_TRUE(fs::exists(folder.file("new.svg")));
}

TEST(Start, GuessesYieldToLengths) {
  const TemporaryFolder folder;
  // Low side glass, and a body half as large again: the open window becomes smaller, the hatch stays in its
  // sheet. Guessed parts that no tape fixes must not make these lengths fail.
  const std::pair<const char*, const char*> cars[] = {
      {"coupe",
       "inside_length: 1852 mm\nroof_height: 1005 mm\near_height: 869 mm\near_to_windscreen: 972 mm\n"
       "elbow_width: 1414 mm\nrow_spacing: 749 mm\n"},
      {"saloon", "inside_length: 1721 mm\nroof_height: 846 mm\nsill_height: 677 mm\n"},
      {"van",
       "inside_length: 4903 mm\nroof_height: 1835 mm\near_height: 1113 mm\near_to_windscreen: 1126 mm\n"
       "bulkhead_clearance: 571 mm\n"},
  };
  for (const auto& [shape, tapes] : cars) {
    const std::string scene = folder.file(std::string(shape) + ".yaml");
    const ProgramRun start =
        run_program({"start", shape, "-o", scene, "--tape", folder.write("t.yaml", tapes), "--drivers",
                     "three-way,centre,rear,subwoofer"});
    EXPECT_EQ(start.status, 0) << shape << start.err;
    const ProgramRun check = run_program({"check", scene});
    EXPECT_EQ(check.status, 0) << shape << check.err;
    if (std::string(shape) == "van") continue;
    EXPECT_NE(start.out.find("leak window_left: "), std::string::npos) << start.out;
    EXPECT_NE(bytes_of(scene).find("# the shape's 2500 cm2 is too large here"), std::string::npos);
  }
}

TEST(Start, UnusualLengthsGiveAWarning) {
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
  EXPECT_NE(text.find("# Not measured, estimated from the shape's proportions: sill_height, shoulder_width, "
                      "row_spacing, boot_length."),
            std::string::npos);
  // Every question comes with a drawing.
  EXPECT_NE(run.out.find("*****"), std::string::npos);
  EXPECT_NE(run.out.find("seen from the left"), std::string::npos);
  EXPECT_NE(run.out.find("seen from behind"), std::string::npos);
  EXPECT_EQ(run_program({"check", folder.file("asked.yaml")}).status, 0);
}

TEST(StartAsking, WritesNoSceneFromContradictingLengths) {
  const TemporaryFolder folder;
  const ProgramRun wrong = answer(folder, "\n1120 mm\n1140 mm\n\n\n\n\n\n\n\n\n");
  EXPECT_EQ(wrong.status, 2);
  EXPECT_NE((wrong.out + wrong.err).find("the head would be above the roof"), std::string::npos) << wrong.out;
  EXPECT_FALSE(fs::exists(folder.file("asked.yaml")));
  const ProgramRun mended = answer(folder, "\n1120 mm\n1140 mm\n\n\n\n\n\n\n\n3: 93 cm\n\n");
  EXPECT_EQ(mended.status, 0) << mended.err;
  EXPECT_TRUE(fs::exists(folder.file("asked.yaml")));
}

TEST(StartAsking, ReportsInTheReviewLengthsThatTheBodyCannotFollow) {
  const TemporaryFolder folder;
  // Each length is usual, but no body has all three.
  const std::string answers = "1.9 m\n\n\n1.15 m\n\n\n\n\n1.0 m\n\n";
  const ProgramRun wrong = answer(folder, answers + "\n");
  EXPECT_EQ(wrong.status, 2);
  EXPECT_NE(wrong.out.find("contradicts the other lengths"), std::string::npos) << wrong.out;
  EXPECT_EQ(wrong.out.find("Enter to write the scene"), std::string::npos) << wrong.out;
  EXPECT_FALSE(fs::exists(folder.file("asked.yaml")));
  const ProgramRun mended = answer(folder, answers + "\n9: 0.8 m\n4: 0.9 m\n1: 2.1 m\n\n");
  EXPECT_EQ(mended.status, 0) << mended.err;
  EXPECT_NE(bytes_of(folder.file("asked.yaml")).find("length: 800 mm}   # row_spacing"), std::string::npos);
}

TEST(StartAsking, RefusesImpossibleLengths) {
  const TemporaryFolder folder;
  const ProgramRun run =
      answer(folder, "1e300 m\n-2390 mm\n0 m\n\x1b[2J\x07: 3 mm\n\xff\xfe: 4 mm\n2,390 mm\n");
  EXPECT_EQ(run.status, 2);
  for (const char* words : {"'1e300 m' is outside 10 mm to 30 m", "'-2390 mm' is outside", "'0 m' is outside",
                            "there is no length '\\x1b[2J\\x07'", "there is no length '\\xff\\xfe'",
                            "as in '2390 mm' for thousands"})
    EXPECT_NE(run.out.find(words), std::string::npos) << words << "\n" << run.out;
  EXPECT_EQ(run.out.find_first_of("\x1b\x07\xff\xfe"), std::string::npos);
  EXPECT_EQ(run.out.find("now "), std::string::npos) << "nothing was taken";
}

TEST(StartAsking, WritesNoFileIfTheAnswersEndEarly) {
  const TemporaryFolder folder;
  const ProgramRun run = answer(folder, "2400 mm\nabc\n12 kg\n");
  EXPECT_EQ(run.status, 2);
  EXPECT_NE(run.err.find("the input ended before 'roof_height'"), std::string::npos) << run.err;
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

TEST(CheckPicture, IsWellFormedForAnyTitle) {
  const TemporaryFolder folder;
  const std::string scene = folder.write(
      "s.yaml", "cabinfield: 1\ntitle: \"a\\uFFFFb\\uFFFEc\"\nseats: {driver: {head: [1, 0, 1]}}\n");
  const ProgramRun run = run_program({"check", scene, "--picture", folder.file("p.svg")});
  EXPECT_EQ(run.status, 0) << run.err;
  const std::string picture = bytes_of(folder.file("p.svg"));
  EXPECT_NE(picture.find(">abc<"), std::string::npos);
  // XML 1.0, production 2: a character is anything up to U+10FFFF but surrogates, U+FFFE and U+FFFF.
  EXPECT_EQ(picture.find("\xEF\xBF\xBE"), std::string::npos);
  EXPECT_EQ(picture.find("\xEF\xBF\xBF"), std::string::npos);
}

TEST(CheckPicture, NeedsItsOwnFileName) {
  const TemporaryFolder folder;
  ASSERT_EQ(run_program({"start", "suv", "-o", folder.file("s.yaml"), "--tape",
                         folder.write("t.yaml", "head_spacing: 78 cm\n"), "--quiet"})
                .status,
            0);
  const std::vector<std::string> before = folder.names();
  const std::pair<const char*, const char*> slips[] = {
      {"--fit-shape -o both --picture both", "--picture: both is the fitted scene to write"},
      {"--fit-shape -o both --picture ./both", "--picture: ./both is the fitted scene to write"},
      {"--fit-shape --picture p.svg", "draws the fitted scene, which also needs --output"},
      {"--picture ./s.yaml", "is the scene file"},
      {"--picture ''", "--picture: '' is not a file name"},
      {"--fit-shape -o ''", "--output: '' is not a file name"}};
  for (const auto& [arguments, words] : slips) {
    const ProgramRun run = run_shell("cabinfield check s.yaml " + std::string(arguments), folder.path());
    EXPECT_EQ(run.status, 2) << arguments;
    EXPECT_NE(run.err.find(words), std::string::npos) << arguments << "\n" << run.err;
    EXPECT_EQ(folder.names(), before) << arguments;
  }
}

TEST(CheckFitShape, RefusesTapesThatNoBodyFollows) {
  const TemporaryFolder folder;
  ASSERT_EQ(run_program({"start", "hatchback", "-o", folder.file("s.yaml"), "--quiet"}).status, 0);
  const std::string text = bytes_of(folder.file("s.yaml"));
  struct Wrong {
    const char* tapes;
    std::vector<const char*> words;
  };
  const Wrong slips[] = {
      {"[{from: seats.driver, to: marks.door_lock_left, length: 29 m}]",
       {"seats.driver to marks.door_lock_left: taped 29000 mm"}},
      {"[{from: seats.driver, to: seats.passenger, length: 1.4 m}]", {"Check the unit"}},
      {"[{from: seats.driver, to: seats.driver, length: 1 m}]", {"starts and ends at the same point"}},
      {"[{from: seats.driver, to: [1.25, -0.37, 0.97], length: 1 m}]", {"starts and ends at the same point"}},
      {"[{from: seats.driver, to: seats.passenger, length: 700 mm}, {from: seats.passenger, to: "
       "seats.driver, "
       "length: 780 mm}]",
       {"taped 780 mm here but 700 mm in line", "between the same ends"}},
      {"[{from: seats.nobody, to: marks.m9, length: 1 m}, {from: drivers.x, to: foo.bar, length: 1 m}, "
       "{from: "
       "x, to: \"\", length: 1 m}]",
       {"'seats.nobody' is not", "'marks.m9' is not", "'drivers.x' is not", "'foo.bar' is not",
        "'' is not a name"}},
      // Each length is possible by itself, but the heads end up in the side glass.
      {"[{from: seats.driver, to: seats.passenger, length: 1.18 m}, {from: marks.sill_front_left, to: "
       "marks.sill_front_right, length: 1.1 m}]",
       {"looks wrong", "fitted to its tapes: "}},
  };
  for (const auto& [tapes, words] : slips) {
    const std::string scene = folder.write("w.yaml", text + "tape: " + tapes + "\n");
    const ProgramRun run = run_program({"check", scene, "--fit-shape", "-o", folder.file("moved.yaml")});
    EXPECT_EQ(run.status, 2) << tapes << run.out;
    for (const char* each : words)
      EXPECT_NE(run.err.find(each), std::string::npos) << each << "\n" << run.err;
    EXPECT_FALSE(fs::exists(folder.file("moved.yaml"))) << tapes;
  }
  folder.write("one.yaml", text + "tape: [{from: seats.driver, to: seats.passenger, length: 75 cm}]\n");
  const ProgramRun one = run_program({"check", folder.file("one.yaml"), "--fit-shape"});
  EXPECT_NE(one.out.find("over 1 tape, with"), std::string::npos) << one.out;
}

TEST(CheckFitShape, MovesTheBodyAndReportsTheRest) {
  const TemporaryFolder folder;
  const std::string scene = folder.file("s.yaml"), moved = folder.file("moved.yaml");
  ASSERT_EQ(run_program({"start", "hatchback", "-o", scene, "--quiet"}).status, 0);
  const std::string text = bytes_of(scene);
  // 90 mm off: a fault for check, and the purpose of the fit.
  folder.write("s.yaml", text +
                             "tape:\n  - {from: seats.driver, to: seats.rear_left, length: 940 mm}\n"
                             "  - {from: seats.driver, to: seats.passenger, length: 74 cm}\n");
  EXPECT_EQ(run_program({"check", scene}).status, 2);
  const ProgramRun fit = run_program({"check", scene, "--fit-shape", "-o", moved});
  EXPECT_EQ(fit.status, 0) << fit.err;
  EXPECT_NE(fit.out.find("another row's heads"), std::string::npos) << fit.out;
  EXPECT_NE(fit.out.find("Remaining error: "), std::string::npos);
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
  // In centimetres, heads given from where cushion and back meet, one tape to a driver; all three agree.
  const ProgramRun fit = run_program({"check", pickup, "--fit-shape", "-o", moved});
  EXPECT_EQ(fit.status, 0) << fit.err;
  EXPECT_EQ(fit.out.find("LOOKS WRONG"), std::string::npos) << fit.out;
  const ProgramRun check = run_program({"check", moved});
  EXPECT_EQ(check.status, 0) << check.err << check.out;
  EXPECT_EQ(lines_of(bytes_of(moved)).size(), lines_of(bytes_of(pickup)).size());
}

TEST(CheckFitShape, NamesWhatIsMissing) {
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
