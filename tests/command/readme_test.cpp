// Every command that the README shows runs, in a folder that holds what a checkout holds.
#include <gtest/gtest.h>

#include "command/program.h"

namespace cabinfield::test {
namespace {

namespace fs = std::filesystem;
const fs::path top = CABINFIELD_SOURCE_DIR;

/// Lines of the fenced sh blocks of a page, without their comments.
std::vector<std::string> shown_commands(const fs::path& page) {
  std::vector<std::string> commands;
  bool inside = false;
  for (std::string line : lines_of(bytes_of(page))) {
    if (line.starts_with("```")) {
      inside = line == "```sh";
      continue;
    }
    line = line.substr(0, line.find(" #"));
    while (line.ends_with(' ')) line.pop_back();
    if (inside && !line.empty()) commands.push_back(line);
  }
  return commands;
}

TEST(Readme, ItsCommandsRunInTheirOrder) {
  const TemporaryFolder folder;
  for (const char* name : {"scenes", "models", "tools", "README.md"})
    fs::create_symlink(top / name, folder.file(name));
  int run_count = 0;
  for (const std::string& command : shown_commands(top / "README.md")) {
    // The two that install and build are run by whoever runs this test.
    if (!command.starts_with("cabinfield ") && !command.starts_with("tools/plot ")) continue;
    const ProgramRun run = run_shell(command, folder.path());
    EXPECT_EQ(run.status, 0) << command << "\n" << run.err;
    ++run_count;
  }
  EXPECT_GE(run_count, 3) << "the page shows check, predict and plot";
  EXPECT_TRUE(fs::exists(folder.file("hatchback.h5")));
  const fs::path pictures = folder.file("pictures");
  ASSERT_TRUE(fs::is_directory(pictures));
  EXPECT_FALSE(fs::is_empty(pictures));
}

TEST(Readme, FirstCommandsAreThoseThatBuildAndTest) {
  const auto commands = shown_commands(top / "README.md");
  ASSERT_GE(commands.size(), 2U);
  EXPECT_EQ(commands[0], "tools/demo");
  EXPECT_EQ(commands[1], "tools/test");
  for (const std::string& command : commands) {
    const std::string program = command.substr(0, command.find(' '));
    EXPECT_TRUE(!program.starts_with("tools/") || fs::exists(top / program)) << program;
  }
}

/// The scenes that scenes/README.md teaches with are whole: each begins with "# whole scene".
TEST(ScenesReadme, ItsScenesAreSound) {
  const TemporaryFolder folder;
  std::string text;
  int whole = 0;
  bool inside = false;
  for (const std::string& line : lines_of(bytes_of(top / "scenes" / "README.md"))) {
    if (line.starts_with("```")) {
      if (inside && text.starts_with("# whole scene")) {
        const ProgramRun run = run_program({"check", folder.write("s.yaml", text)});
        EXPECT_EQ(run.status, 0) << text << run.err;
        ++whole;
      }
      inside = line == "```yaml";
      text.clear();
    } else if (inside) {
      text += line + "\n";
    }
  }
  EXPECT_GE(whole, 5);
}

TEST(Scenes, ThatComeWithTheProjectAreSoundAndADraftIsNotYet) {
  for (const auto& entry : fs::directory_iterator(top / "scenes")) {
    if (entry.path().extension() != ".yaml") continue;
    const ProgramRun run = run_program({"check", entry.path().string()});
    const bool draft = entry.path().stem().string().ends_with("_draft");
    EXPECT_EQ(run.status, draft ? 1 : 0) << entry.path() << "\n" << run.err << run.out;
  }
}

}  // namespace
}  // namespace cabinfield::test
