// Files that cannot be read or written, on the command line: the right status, one line that says why,
// nothing left behind.
#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <csignal>

#include "command/program.h"

namespace cabinfield::test {
namespace {

namespace fs = std::filesystem;

// Free field, few frequencies: solved in no time.
const std::string small_scene =
    "cabinfield: 1\n"
    "title: Small\n"
    "seats: {driver: {head: [1.2, -0.4, 1]}}\n"
    "drivers: {tweeter: {model: tweeter_25, position: [0.4, -0.5, 0.9], aim: {seat: driver}}}\n"
    "channels: {high: {drives: [tweeter], highpass: {frequency: 4 kHz}}}\n"
    "compute: {frequencies: {from: 100 Hz, to: 10 kHz, per_octave: 12}}\n";

void expect_one_line(const ProgramRun& run, int status, const std::string& words) {
  EXPECT_EQ(run.status, status) << run.err;
  EXPECT_EQ(lines_of(run.err).size(), 1U) << run.err;
  EXPECT_NE(run.err.find(words), std::string::npos) << run.err;
  EXPECT_EQ(run.out, "");
}

/// The same for `check` and `predict`, which must not touch its output.
void expect_refused(const std::string& scene, const std::string& words) {
  expect_one_line(run_program({"check", scene}), 2, words);
  const TemporaryFolder folder;
  const std::string old = folder.write("old.h5", "old");
  expect_one_line(run_program({"predict", scene, "-o", old}), 2, words);
  expect_one_line(run_program({"predict", scene, "-o", folder.file("new.h5")}), 2, words);
  EXPECT_EQ(bytes_of(old), "old");
  EXPECT_EQ(folder.names(), std::vector<std::string>{"old.h5"});
}

TEST(SceneFiles, ThatAreNotFiles) {
  const TemporaryFolder folder;
  expect_refused(folder.file("none.yaml"), folder.file("none.yaml") + ": there is no such file");
  expect_refused(folder.path().string(), folder.path().string() + ": this is a directory, expected a file");
  expect_refused(folder.write("s.yaml", small_scene) + "/x.yaml", "there is no such file");
  expect_refused(folder.write("empty.yaml", ""), folder.file("empty.yaml") + ": the file is empty");
  expect_refused(folder.write("comment.yaml", "# nothing yet\n"),
                 folder.file("comment.yaml") + ": the file is empty");
}

TEST(SceneFiles, ThatAreNotText) {
  const TemporaryFolder folder;
  expect_refused(folder.write("nul.yaml", std::string("cabinfield: 1\ntitle: \0x\n", 24)),
                 "nul.yaml:2:8: a NUL byte");
  expect_refused(folder.write("latin.yaml", "cabinfield: 1\ntitle: caf\xE9\n"),
                 "latin.yaml:2:11: this byte is not UTF-8");
  expect_refused(folder.write("wide.yaml", std::string("\xFF\xFE"
                                                       "c\0a\0",
                                                       6)),
                 "wide.yaml:1:1: the text is UTF-16");
  expect_refused(folder.write("program.yaml", bytes_of(CABINFIELD_PROGRAM).substr(0, 4096)),
                 "program.yaml:1:1: a control character");
  const std::string results = folder.file("r.h5");
  ASSERT_EQ(run_program({"predict", folder.write("s.yaml", small_scene), "-o", results, "--quiet"}).status,
            0);
  expect_refused(results, "r.h5:1:1: ");
}

TEST(SceneFiles, OfAHundredMegabytes) {
  const TemporaryFolder folder;
  const std::string big = folder.write("big.yaml", small_scene);
  fs::resize_file(big, 100'000'000);
  expect_refused(big, "big.yaml: the file is larger than the 4.2 MB allowed: it has 100.0 MB");
}

TEST(SceneFiles, ThatMayNotBeRead) {
  const TemporaryFolder folder;
  const std::string scene = folder.write("s.yaml", small_scene);
  ::chmod(scene.c_str(), 0);
  ::chmod(folder.path().c_str(), 0755);
  // The superuser may read everything, so the program runs as nobody.
  const auto as_nobody = [] {
    if (::geteuid() == 0 && (::setgid(65534) != 0 || ::setuid(65534) != 0)) ::_exit(99);
  };
  const ProgramRun probe = run_program({"--version"}, as_nobody);
  // Skipped without the right to become nobody, or if nobody may not enter the folder.
  if (probe.status != 0) GTEST_SKIP() << "another user cannot run the program at its location";
  expect_one_line(run_program({"check", scene}, as_nobody), 2,
                  "s.yaml: the file cannot be read: Permission denied");
}

class OutputFile : public testing::Test {
 protected:
  const TemporaryFolder folder;
  const std::string scene = folder.write("s.yaml", small_scene);
  ProgramRun predict(const std::string& output, const std::function<void()>& in_child = {}) const {
    return run_program({"predict", scene, "-o", output, "--quiet"}, in_child);
  }
};

TEST_F(OutputFile, ReplacesTheOldFileAsAWhole) {
  const std::string old = folder.write("r.h5", "old");
  EXPECT_EQ(predict(old).status, 0);
  EXPECT_EQ(bytes_of(old).substr(1, 3), "HDF");
  EXPECT_EQ(folder.names(), (std::vector<std::string>{"r.h5", "s.yaml"})) << "nothing else is left";
}

TEST_F(OutputFile, WhereNoFileCanBe) {
  expect_one_line(predict(folder.file("none") + "/r.h5"), 3,
                  "r.h5: cannot be written: its folder does not exist");
  expect_one_line(predict(scene + "/r.h5"), 3,
                  "cannot be written: a part of the path is a file, not a folder");
  expect_one_line(predict(folder.path().string()), 3, "cannot be written: it is a folder");
  expect_one_line(predict("/proc/cabinfield.h5"), 3, "/proc/cabinfield.h5: cannot be written: ");
  expect_one_line(predict(folder.file(std::string(300, 'n'))), 3, "the name is too long");
  EXPECT_EQ(folder.names(), std::vector<std::string>{"s.yaml"});
}

TEST_F(OutputFile, IsNotTheSceneItself) {
  for (const std::string& name : {scene, folder.path().string() + "/./s.yaml"}) {
    const ProgramRun run = predict(name);
    EXPECT_EQ(run.status, 2) << run.err;
    EXPECT_EQ(bytes_of(scene), small_scene);
  }
  fs::create_symlink(scene, folder.file("link.h5"));
  EXPECT_EQ(predict(folder.file("link.h5")).status, 2);
  EXPECT_EQ(bytes_of(scene), small_scene);
}

TEST_F(OutputFile, IsNoneOfTheOthers) {
  const std::string scene_before = bytes_of(scene);
  const std::pair<const char*, const char*> slips[] = {
      {"-o cc.sofa --impulse 48kHz", "--impulse: cc.sofa is where the results go"},
      {"-o ./cc.high.driver.wav --impulse 48kHz", ""},
      {"-o cabin-0123456789ab.h5 --keep-cabin", "is a name reserved for saved cabins"}};
  for (const auto& [arguments, words] : slips) {
    const ProgramRun run =
        run_shell("cabinfield predict s.yaml --quiet " + std::string(arguments), folder.path());
    if (*words == 0) {
      // The stem ends before `.wav`: the files are called cc.high.driver.high.driver.wav.
      EXPECT_EQ(run.status, 0) << run.err;
      EXPECT_EQ(bytes_of(folder.file("cc.high.driver.wav")).substr(1, 3), "HDF");
      continue;
    }
    EXPECT_EQ(run.status, 2) << arguments << run.err;
    EXPECT_NE(run.err.find(words), std::string::npos) << run.err;
    EXPECT_FALSE(fs::exists(folder.file("cc.sofa")));
  }
  EXPECT_EQ(bytes_of(scene), scene_before);
}

TEST_F(OutputFile, WithoutPermission) {
  const std::string shut = folder.file("shut");
  fs::create_directory(shut);
  ::chmod(shut.c_str(), 0555);
  ::chmod(folder.path().c_str(), 0755);
  const auto as_nobody = [] {
    if (::geteuid() == 0 && (::setgid(65534) != 0 || ::setuid(65534) != 0)) ::_exit(99);
  };
  // Skipped without the right to become nobody, or if nobody may not enter the folder.
  if (run_program({"--version"}, as_nobody).status != 0)
    GTEST_SKIP() << "another user cannot run the program at its location";
  expect_one_line(predict(shut + "/r.h5", as_nobody), 3,
                  "r.h5: cannot be written: no permission to write there");
  EXPECT_TRUE(fs::is_empty(shut));
}

TEST_F(OutputFile, OnAFullDisk) {
  const std::string old = folder.write("r.h5", "old");
  // A limit on the file size simulates the full disk: the write stops in the middle.
  const ProgramRun run = predict(old, [] {
    const rlimit most{4096, 4096};
    ::setrlimit(RLIMIT_FSIZE, &most);
  });
  EXPECT_EQ(run.status, 3) << "1000 and more: ended by a signal";
  EXPECT_NE(run.err.find("r.h5: cannot be written: "), std::string::npos) << run.err;
  EXPECT_EQ(bytes_of(old), "old");
  EXPECT_EQ(folder.names(), (std::vector<std::string>{"r.h5", "s.yaml"})) << "the partial file is gone";
}

TEST_F(OutputFile, FailsBeforeTheScreenDoes) {
  ASSERT_TRUE(fs::exists("/dev/full"));
  const ProgramRun run = run_shell("cabinfield check " + scene + " > /dev/full", folder.path());
  EXPECT_EQ(run.status, 3) << "what could not be printed is not done";
  const ProgramRun piped =
      run_shell("cabinfield check " + scene + " | true; echo ${PIPESTATUS[0]}", folder.path());
  EXPECT_EQ(piped.err.find("program"), std::string::npos) << piped.err;
}

}  // namespace
}  // namespace cabinfield::test
