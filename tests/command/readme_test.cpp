// Every command in the README runs, in a folder with the contents of a checkout.
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

TEST(Readme, ItsCommandsRunInOrder) {
  const TemporaryFolder folder;
  for (const char* name : {"scenes", "models", "tools", "README.md"})
    fs::create_symlink(top / name, folder.file(name));
  int run_count = 0;
  for (const std::string& command : shown_commands(top / "README.md")) {
    // The two commands that install and build have already run.
    if (!command.starts_with("cabinfield ") && !command.starts_with("tools/plot ")) continue;
    const ProgramRun run = run_shell(command, folder.path());
    EXPECT_EQ(run.status, 0) << command << "\n" << run.err;
    ++run_count;
  }
  EXPECT_GE(run_count, 5) << "the page shows check, predict, study and plot";
  EXPECT_TRUE(fs::exists(folder.file("hatchback.h5")));
  for (const char* name : {"pictures", "study_pictures"}) {
    const fs::path pictures = folder.file(name);
    ASSERT_TRUE(fs::is_directory(pictures)) << name;
    EXPECT_FALSE(fs::is_empty(pictures)) << name;
  }
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

/// The texts in a drawing, in order.
std::vector<std::string> words_of(const std::string& svg) {
  std::vector<std::string> words;
  for (const std::string& line : lines_of(svg))
    if (line.starts_with("<text")) words.push_back(line.substr(line.find('>') + 1));
  return words;
}

/// The first visit as on the page: its files are written (the first line is the name), its commands run in
/// order, and its pictures are those that the commands draw.
TEST(ScenesReadme, TheFirstVisitRunsAndItsPicturesAreThoseShown) {
  const TemporaryFolder folder;
  for (const char* name : {"scenes", "models", "tools"}) fs::create_symlink(top / name, folder.file(name));
  std::string text, kind;
  int run_count = 0, pictures = 0;
  for (const std::string& line : lines_of(bytes_of(top / "scenes" / "README.md"))) {
    if (line.starts_with("```")) {
      if (kind == "yaml" && text.starts_with("# mycar"))
        folder.write(text.substr(2, text.find('\n') - 2), text);
      kind = kind.empty() ? line.substr(3) : "";
      text.clear();
    } else if (kind == "sh") {
      const ProgramRun run = run_shell(line, folder.path());
      EXPECT_EQ(run.status, 0) << line << "\n" << run.err;
      ++run_count;
    } else if (!kind.empty()) {
      text += line + "\n";
    } else if (line.starts_with("![")) {
      const std::string shown = line.substr(line.find("](") + 2, line.size() - line.find("](") - 3);
      const std::string made = folder.file(fs::path(shown).filename().string());
      ASSERT_TRUE(fs::exists(made)) << shown;
      // Coordinates may differ in the last digit between compilers; texts must not.
      EXPECT_EQ(words_of(bytes_of(made)), words_of(bytes_of(top / "scenes" / shown)))
          << "run tools/update-pictures";
      ++pictures;
    }
  }
  EXPECT_GE(run_count, 5);
  EXPECT_GE(pictures, 2);
  EXPECT_TRUE(fs::exists(folder.file("pictures/response_as_drawn.png")));
}

/// The complete scenes in scenes/README.md, each of which begins with "# whole scene".
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
