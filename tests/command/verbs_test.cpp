// The command line: help, version, wrong words, exit statuses, threads, incomplete scenes.
#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>

#include "command/program.h"

namespace cabinfield::test {
namespace {

const std::string scenes = std::string(CABINFIELD_SOURCE_DIR) + "/scenes/";
const std::vector<std::string> verbs{"start", "check", "predict", "study", "report", "keys"};

TEST(Command, HelpNamesEveryVerbAndEachHasAnExample) {
  const ProgramRun help = run_program({"--help"});
  EXPECT_EQ(help.status, 0);
  for (const std::string& verb : verbs) {
    EXPECT_NE(help.out.find("\n  " + verb + " "), std::string::npos) << verb;
    const ProgramRun own = run_program({verb, "--help"});
    EXPECT_EQ(own.status, 0);
    EXPECT_EQ(own.err, "");
    EXPECT_NE(own.out.find("Example:\n  cabinfield " + verb), std::string::npos) << own.out;
    EXPECT_NE(own.out.find("--threads"), std::string::npos) << verb;
    EXPECT_NE(own.out.find("--quiet"), std::string::npos) << verb;
  }
}

TEST(Command, ExamplesOfTheHelpRun) {
  const TemporaryFolder folder;
  std::filesystem::create_directory_symlink(scenes, folder.file("scenes"));
  for (const std::string& verb : verbs) {
    const std::string help = run_program({verb, "--help"}).out;
    const std::size_t start = help.find("Example:\n  ") + 11;
    const std::string example = help.substr(start, help.find('\n', start) - start);
    const ProgramRun run = run_shell(example, folder.path());
    if (verb == "report" && run.status == 3) {  // a build without node has no page, and says how to build it
      EXPECT_NE(run.err.find("nodejs and npm"), std::string::npos) << run.err;
      continue;
    }
    EXPECT_EQ(run.status, 0) << example << "\n" << run.err;
    EXPECT_GT(run.out.size(), verb == "report" ? 40U : 200U) << example;
  }
}

TEST(Command, ImpossibleMapsAreStatusTwoWithEveryFault) {
  const TemporaryFolder folder;
  const std::string output = folder.file("r.h5");
  const ProgramRun wrong =
      run_program({"predict", scenes + "hatchback.yaml", "-o", output, "--maps", "40, 900 Hz, 0 Hz, 12 kg"});
  EXPECT_EQ(wrong.status, 2);
  for (const char* words : {"'40' has no unit", "900 Hz is outside the range of the wave field, 1 to 400 Hz",
                            "0 Hz is outside", "'12 kg' is a mass"})
    EXPECT_NE(wrong.err.find(words), std::string::npos) << words << "\n" << wrong.err;
  std::ofstream(folder.file("half.yaml")) << "cabinfield: 1\nmarks: {edge: [0, 0, 0]}\n";
  const ProgramRun half = run_program({"predict", folder.file("half.yaml"), "-o", output, "--maps", "40 Hz"});
  EXPECT_EQ(half.status, 2);
  EXPECT_NE(half.err.find("maps need the wave field"), std::string::npos) << half.err;
  EXPECT_NE(half.err.find("maps need a seat"), std::string::npos) << half.err;
  const ProgramRun when =
      run_program({"predict", scenes + "hatchback.yaml", "-o", output, "--maps-vtk", folder.file("m.vtu")});
  EXPECT_EQ(when.status, 2);
  EXPECT_NE(when.err.find("the frequencies of the maps are missing"), std::string::npos) << when.err;
  const ProgramRun where = run_program({"predict", scenes + "hatchback.yaml", "-o", output, "--maps", "40 Hz",
                                        "--maps-vtk", folder.file("nowhere/m.vtu")});
  EXPECT_EQ(where.status, 3);
  EXPECT_FALSE(std::filesystem::exists(output));
}

TEST(Command, MapsReplaceNeitherTheSceneNorTheResults) {
  const TemporaryFolder folder;
  const std::string scene = folder.file("own.vtu"), output = folder.file("r.vtu");
  std::filesystem::copy_file(scenes + "hatchback.yaml", scene);
  std::filesystem::create_symlink(scene, folder.file("link.vtu"));
  const std::string before = bytes_of(scene);
  const auto refused = [&](const std::vector<std::string>& words, const std::string& why) {
    std::vector<std::string> all{"predict", scene, "-o", output};
    all.insert(all.end(), words.begin(), words.end());
    const ProgramRun run = run_program(all);
    EXPECT_EQ(run.status, 2) << why;
    EXPECT_NE(run.err.find(why), std::string::npos) << run.err;
    EXPECT_EQ(bytes_of(scene), before);
    EXPECT_FALSE(std::filesystem::exists(output));
  };
  refused({"--maps", "40 Hz", "--maps-vtk", scene}, "is the scene itself");
  refused({"--maps", "40 Hz", "--maps-vtk", folder.file("link.vtu")}, "is the scene itself");
  refused({"--maps", "40 Hz", "--maps-vtk", output}, "is where the results go");
  refused({"--maps", "40 Hz", "--maps-vtk", folder.path().string() + "/./r.vtu"}, "is where the results go");
  refused({"--maps", "40 Hz", "--maps-vtk", folder.file("m.hdf")}, "does not end in .vtu");
  refused({"--maps", "40 Hz", "--maps-vtk", ""}, "'' is not a file name");
  refused({"--maps", ""}, "is empty");
  refused({"--maps", "40 Hz,"}, "is empty");
  refused({"--maps", "1 Hz, 2 Hz, 3 Hz, 4 Hz, 5 Hz, 6 Hz, 7 Hz, 8 Hz, 9 Hz, 10 Hz, 11 Hz, 12 Hz, 13 Hz"},
          "13 frequencies, at most 12");
}

TEST(Command, DistinguishesADriverBehindPartitionsFromABlockedOne) {
  const std::string saloon = run_program({"check", scenes + "saloon.yaml"}).out;
  EXPECT_NE(saloon.find("shut off: only through partitions"), std::string::npos) << saloon;
  const std::string hatchback = run_program({"check", scenes + "hatchback.yaml"}).out;
  EXPECT_EQ(hatchback.find("shut off"), std::string::npos) << hatchback;
  EXPECT_NE(hatchback.find("barely blocked; detour under 5 mm"), std::string::npos) << hatchback;
  EXPECT_EQ(hatchback.find(" 0 mm longer"), std::string::npos) << hatchback;
}

TEST(Command, PrintsItsVersionAndBuild) {
  const ProgramRun run = run_program({"--version"});
  EXPECT_EQ(run.status, 0);
  EXPECT_TRUE(run.out.starts_with("cabinfield 0.")) << run.out;
  EXPECT_NE(run.out.find('('), std::string::npos) << "the build";
}

TEST(Command, WrongWordsAreStatusTwo) {
  const std::string box = scenes + "box.yaml";
  const TemporaryFolder folder;
  const std::string output = folder.file("r.h5");
  for (const std::vector<std::string>& words :
       std::vector<std::vector<std::string>>{{},
                                             {"chek", box},
                                             {"check"},
                                             {"predict", box},
                                             {"predict", "-o", output},
                                             {"check", box, box},
                                             {"check", box, "--threads", "0"},
                                             {"check", box, "--threads", "two"},
                                             {"predict", box, "-o"},
                                             {"check", box, "--everything"}}) {
    const ProgramRun run = run_program(words);
    EXPECT_EQ(run.status, 2) << testing::PrintToString(words);
    EXPECT_FALSE(run.err.empty()) << testing::PrintToString(words);
    EXPECT_EQ(run.out, "") << testing::PrintToString(words);
  }
  EXPECT_TRUE(folder.names().empty());
  const ProgramRun misspelt = run_program({"chek", box});
  EXPECT_NE(misspelt.err.find("chek"), std::string::npos)
      << "says which word it does not know: " << misspelt.err;
  EXPECT_NE(misspelt.err.find("check"), std::string::npos) << misspelt.err;
}

TEST(Command, ThreadsDoNotChangeABit) {
  // The time stamp is fixed, so that whole files can be compared.
  ::setenv("SOURCE_DATE_EPOCH", "0", 1);
  const TemporaryFolder folder;
  for (const char* name : {"hatchback", "box"}) {
    // Fewer frequencies than in the scene are enough to compare the order of sums.
    std::string text = bytes_of(scenes + name + ".yaml");
    const std::size_t at = text.find("per_octave: ");
    ASSERT_NE(at, std::string::npos);
    text.replace(at, text.find('}', at) - at, "per_octave: 3");
    const std::string scene = folder.write(std::string(name) + ".yaml", text);
    std::vector<std::string> files;
    for (const char* threads : {"1", "2", "5"}) {
      const std::string output = folder.file(std::string(name) + threads + ".h5");
      ASSERT_EQ(run_program({"predict", scene, "-o", output, "--quiet", "--threads", threads}).status, 0);
      files.push_back(bytes_of(output));
    }
    ASSERT_GT(files[0].size(), 10000U);
    EXPECT_TRUE(files[0] == files[1]) << name;
    EXPECT_TRUE(files[0] == files[2]) << name;
  }
  ::unsetenv("SOURCE_DATE_EPOCH");
}

TEST(Command, IncompleteScenesGiveWhatTheyCan) {
  const TemporaryFolder folder;
  const auto run = [&](const std::string& text) {
    const std::string scene = folder.write("s.yaml", "cabinfield: 1\n" + text);
    const ProgramRun solved = run_program({"predict", scene, "-o", folder.file("r.h5")});
    EXPECT_EQ(solved.status, 0) << solved.err;
    EXPECT_EQ(bytes_of(folder.file("r.h5")).substr(1, 3), "HDF");
    const ProgramRun checked = run_program({"check", scene});
    EXPECT_EQ(checked.status, 0) << checked.err;
    return checked.out;
  };
  const std::string empty = run("");
  for (const char* section : {"cabin", "seats", "drivers", "channels", "presets", "marks", "tape"})
    EXPECT_NE(empty.find(std::string("add ") + section), std::string::npos) << empty;
  const std::string free =
      run("seats: {driver: {head: [1, 0, 1]}}\ndrivers: {one: {model: tweeter_25, position: [0, 0, 1]}}\n");
  EXPECT_NE(free.find("free-field arrivals: no cabin"), std::string::npos) << free;
  EXPECT_NE(free.find("1000 mm"), std::string::npos) << free;
  run("seats: {driver: {head: [1, 0, 1]}}\n");
  run("drivers: {one: {model: tweeter_25, position: [0, 0, 1]}}\n");
  run("cabin: {box: {length: 2 m, width: 1.4 m, height: 1.1 m}}\n");
}

TEST(Command, AViolatedRuleIsStatusOneAndSaysWhich) {
  const TemporaryFolder folder;
  const std::string scene = folder.write(
      "s.yaml",
      "cabinfield: 1\n"
      "drivers:\n"
      "  deep: {model: midbass_165, position: [0, 0, 0], opening: {cutout: 150 mm, depth: 60 mm}}\n"
      "  tight: {model: midbass_165, position: [0, 1, 0], opening: {cutout: 146 mm, depth: 90 mm}}\n");
  const ProgramRun run = run_program({"check", scene});
  EXPECT_EQ(run.status, 1);
  // The model needs 65 mm of depth and a hole of 145 mm.
  EXPECT_NE(run.out.find("DOES NOT HOLD  deep: mounting depth is 5 mm short"), std::string::npos) << run.out;
  EXPECT_NE(run.out.find("TIGHT          tight: hole fits with 1 mm to spare"), std::string::npos) << run.out;
  EXPECT_EQ(run_program({"predict", scene, "-o", folder.file("r.h5")}).status, 1);
  EXPECT_EQ(bytes_of(folder.file("r.h5")).substr(1, 3), "HDF") << "it is done all the same";
  const std::string caution = folder.write("c.yaml",
                                           "cabinfield: 1\n"
                                           "drivers: {tight: {model: midbass_165, position: [0, 1, 0], "
                                           "opening: {cutout: 146 mm, depth: 90 mm}}}\n");
  EXPECT_EQ(run_program({"check", caution}).status, 0) << "a caution does not count";
}

TEST(Command, NoFileNameIsAWrongInput) {
  const TemporaryFolder folder;
  const std::string scene = folder.write("s.yaml", "cabinfield: 1\n");
  const ProgramRun run = run_program({"predict", scene, "-o", ""});
  EXPECT_EQ(run.status, 2);
  EXPECT_NE(run.err.find("--output: '' is not a file name"), std::string::npos) << run.err;
}

TEST(Command, KeysListsEveryKeyThatAFaultMayName) {
  const ProgramRun run = run_program({"keys"});
  EXPECT_EQ(run.status, 0);
  for (const char* key : {"cabinfield: ", "profile: ", "face: ", "pod_radius: ", "family: ", "shape: ",
                          "per_octave: ", "Fs: ", "lowest_highpass: ", "magnet_diameter: ",
                          "specific_impedance: ", "surface_density: ", "amplifiers: "})
    EXPECT_NE(run.out.find(std::string("\n") + key), std::string::npos) << key;
}

}  // namespace
}  // namespace cabinfield::test
