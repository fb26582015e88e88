// Every scene of this folder, through the command. The faults that a scene must draw stand in it as comments:
// `#: LINE:COLUMN words` in the order of the file, `#: - words` for a fault of the file as a whole, ` ... `
// between words that need not touch; `#: none` where there is none. Each must come, with that place, and no
// other; with status 2 and without an output file.
#include <gtest/gtest.h>

#include <algorithm>

#include "command/program.h"

namespace cabinfield::test {
namespace {

namespace fs = std::filesystem;

const fs::path folder = fs::path(CABINFIELD_SOURCE_DIR) / "tests" / "bad";

struct ExpectedFault {
  std::string location;            ///< "3:14"; "" for the file as a whole
  std::vector<std::string> words;  ///< in this order
};

std::vector<ExpectedFault> expected_faults(const std::string& text) {
  const std::string joint = " ... ";
  std::vector<ExpectedFault> faults;
  for (const std::string& line : lines_of(text)) {
    if (!line.starts_with("#: ") || line == "#: none") continue;
    const std::size_t space = line.find(' ', 3);
    ExpectedFault fault;
    fault.location = line.substr(3, space - 3);
    if (fault.location == "-") fault.location.clear();
    for (std::string rest = line.substr(space + 1); !rest.empty();) {
      const std::size_t end = std::min(rest.find(joint), rest.size());
      fault.words.push_back(rest.substr(0, end));
      rest.erase(0, end == rest.size() ? end : end + joint.size());
    }
    faults.push_back(std::move(fault));
  }
  return faults;
}

bool matches(const ExpectedFault& fault, const std::string& file, const std::string& line) {
  const std::string start = file + (fault.location.empty() ? "" : ":" + fault.location) + ": ";
  if (!line.starts_with(start)) return false;
  std::size_t at = start.size();
  for (const std::string& words : fault.words) {
    at = line.find(words, at);
    if (at == std::string::npos) return false;
    at += words.size();
  }
  return true;
}

std::vector<std::string> scene_names() {
  std::vector<std::string> names;
  for (const auto& entry : fs::directory_iterator(folder))
    if (entry.path().extension() == ".yaml") names.push_back(entry.path().stem().string());
  std::sort(names.begin(), names.end());
  return names;
}

class BadScene : public testing::TestWithParam<std::string> {};

TEST_P(BadScene, DrawsItsFaultsAndNoOther) {
  const std::string scene = (folder / (GetParam() + ".yaml")).string();
  const std::string text = bytes_of(scene);
  const auto expected = expected_faults(text);
  ASSERT_TRUE(!expected.empty() || text.find("\n#: none") != std::string::npos)
      << "the scene says nothing of its faults";
  const TemporaryFolder location;
  const std::string before = "what stood there before";
  const std::string output = location.write("old.h5", before);

  for (const bool solve : {false, true}) {
    const ProgramRun run = solve ? run_program({"predict", scene, "-o", output, "--quiet"})
                                 : run_program({"check", scene, "--quiet"});
    const auto lines = lines_of(run.err);
    EXPECT_EQ(run.status, expected.empty() ? 0 : 2) << run.err;
    EXPECT_EQ(lines.size(), expected.size()) << run.err;
    std::size_t next = 0;
    for (const ExpectedFault& fault : expected) {
      if (next < lines.size() && matches(fault, scene, lines[next])) {
        ++next;
        continue;
      }
      ADD_FAILURE() << "expected " << fault.location << ": " << testing::PrintToString(fault.words)
                    << "\nin\n"
                    << run.err;
      break;
    }
    EXPECT_EQ(run.out, "");
  }
  if (expected.empty()) return;
  EXPECT_EQ(bytes_of(output), before);
  EXPECT_EQ(location.names(), std::vector<std::string>{"old.h5"});
}

INSTANTIATE_TEST_SUITE_P(Files, BadScene, testing::ValuesIn(scene_names()),
                         [](const auto& name) { return name.param; });

}  // namespace
}  // namespace cabinfield::test
