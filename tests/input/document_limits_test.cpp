// Files that cannot be read, and text made to exhaust the reader: refused, soon, without a crash.
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <filesystem>
#include <fstream>
#include <random>
#include <string>
#include <vector>

#include "input/document.h"

namespace cabinfield {
namespace {

using Clock = std::chrono::steady_clock;

double seconds_since(Clock::time_point start) {
  return std::chrono::duration<double>(Clock::now() - start).count();
}

class TemporaryFolder {
 public:
  TemporaryFolder() {
    std::string name = (std::filesystem::temp_directory_path() / "document_XXXXXX").string();
    path_ = ::mkdtemp(name.data());
  }
  ~TemporaryFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  std::string file(const std::string& name) const { return (path_ / name).string(); }

 private:
  std::filesystem::path path_;
};

std::string only_fault(const Faults& faults) {
  EXPECT_EQ(faults.faults().size(), 1U);
  return faults.any() ? to_string(faults.faults()[0]) : "";
}

TEST(DocumentFile, ReadsEveryByte) {
  const TemporaryFolder folder;
  const std::string text = "a: 1\r\nb: 'x'\n# " + std::string(200'000, 'c') + "\n";
  std::ofstream(folder.file("s.yaml"), std::ios::binary) << text;
  Faults faults;
  EXPECT_EQ(read_text_file(folder.file("s.yaml"), faults), text);
  EXPECT_EQ(load_document(folder.file("s.yaml"), faults).entries().size(), 2U);
  EXPECT_FALSE(faults.any());
}

TEST(DocumentFile, NamesWhatIsNotAFile) {
  const TemporaryFolder folder;
  Faults missing;
  EXPECT_EQ(load_document(folder.file("none.yaml"), missing).kind(), NodeKind::null);
  EXPECT_EQ(only_fault(missing), folder.file("none.yaml") + ": there is no such file");
  Faults directory;
  load_document(folder.file("."), directory);
  EXPECT_EQ(only_fault(directory), folder.file(".") + ": this is a directory, expected a file");
  Faults below_a_file;
  std::ofstream(folder.file("s.yaml")) << "a: 1";
  load_document(folder.file("s.yaml") + "/x.yaml", below_a_file);
  EXPECT_TRUE(below_a_file.any());
}

TEST(DocumentFile, NamesWhatMayNotBeRead) {
  const TemporaryFolder folder;
  std::ofstream(folder.file("s.yaml")) << "a: 1";
  std::filesystem::permissions(folder.file("s.yaml"), std::filesystem::perms::none);
  std::filesystem::permissions(folder.file("."), std::filesystem::perms::all);
  // The superuser may read every file: a child that has become nobody asks.
  const pid_t child = ::fork();
  ASSERT_GE(child, 0);
  if (child == 0) {
    if (::geteuid() == 0 && (::setgid(65534) != 0 || ::setuid(65534) != 0)) ::_exit(2);
    Faults faults;
    load_document(folder.file("s.yaml"), faults);
    const bool said =
        faults.faults().size() == 1 &&
        to_string(faults.faults().front()).find("the file cannot be read: ") != std::string::npos;
    ::_exit(said ? 0 : 1);
  }
  int status = -1;
  ASSERT_EQ(::waitpid(child, &status, 0), child);
  EXPECT_TRUE(WIFEXITED(status));
  EXPECT_EQ(WEXITSTATUS(status), 0);
}

TEST(DocumentFile, RefusesAHundredMegabytesUnread) {
  const TemporaryFolder folder;
  std::ofstream(folder.file("big.yaml")) << "a: 1";
  std::filesystem::resize_file(folder.file("big.yaml"), 100'000'000);
  Faults faults;
  const auto start = Clock::now();
  load_document(folder.file("big.yaml"), faults);
  EXPECT_LT(seconds_since(start), 0.1);
  EXPECT_EQ(only_fault(faults),
            folder.file("big.yaml") + ": the file is larger than the 4.2 MB allowed: it has 100.0 MB");
}

TEST(DocumentFile, StopsReadingWhatHasNoEnd) {
  ASSERT_TRUE(std::filesystem::exists("/dev/zero"));
  Faults faults;
  load_document("/dev/zero", faults);
  EXPECT_EQ(only_fault(faults), "/dev/zero: the file is larger than the 4.2 MB allowed");
}

std::string alias_bomb(const std::string& first, int levels) {
  std::string text = "a0: &a0 " + first + "\n";
  for (int i = 1; i <= levels; ++i) {
    const std::string before = "*a" + std::to_string(i - 1);
    text += "a" + std::to_string(i) + ": &a" + std::to_string(i) + " [";
    for (int n = 0; n < 9; ++n) text += before + ", ";
    text += before + "]\n";
  }
  return text;
}

TEST(DocumentLimits, AliasBombIsAFaultAtItsPlace) {
  const auto start = Clock::now();
  Faults faults;
  EXPECT_EQ(parse_document(alias_bomb("[x, x, x, x, x, x, x, x, x, x]", 30), "f", faults).kind(),
            NodeKind::null);
  EXPECT_LT(seconds_since(start), 1);
  EXPECT_TRUE(only_fault(faults).starts_with("f:6:")) << only_fault(faults);
  EXPECT_NE(only_fault(faults).find("more than 200000 values once its aliases are written out"),
            std::string::npos);
}

TEST(DocumentLimits, MergedMappingsCountAsWrittenOut) {
  std::string text = "- &a0 {k: 1}\n";
  for (int i = 0; i < 5000; ++i) {
    const std::string next = std::to_string(i + 1);
    text += "- &a" + next + " {<<: *a" + std::to_string(i) + ", k" + next + ": 1}\n";
  }
  Faults faults;
  const auto start = Clock::now();
  parse_document(text, "f", faults);
  EXPECT_LT(seconds_since(start), 1);
  EXPECT_NE(only_fault(faults).find("more than 200000 values"), std::string::npos);
}

TEST(DocumentLimits, ALongChainOfMergesIsNoDeeperThanItsEnd) {
  std::string text = "a0: &a0 {k: 1}\n";
  for (int i = 0; i < 200; ++i) {
    const std::string next = std::to_string(i + 1);
    text += "a" + next + ": &a" + next + " {<<: " + (i % 2 == 0 ? "*a" : "[*a") + std::to_string(i) +
            (i % 2 == 0 ? "" : "]") + ", k: " + next + "}\n";
  }
  Faults faults;
  EXPECT_EQ(parse_document(text, "f", faults).find("a200")->find("k")->text(), "200");
  EXPECT_FALSE(faults.any());
}

TEST(DocumentLimits, AliasesMayBeUsedFreelyBelowTheLimit) {
  std::string text = "a: &a {x: [1, 2, 3]}\nb:\n";
  for (int i = 0; i < 10'000; ++i) text += "  - *a\n";
  Faults faults;
  EXPECT_EQ(parse_document(text, "f", faults).find("b")->items().size(), 10'000U);
  EXPECT_FALSE(faults.any());
}

TEST(DocumentLimits, NestingIsTakenToTheLimitAndNoFurther) {
  auto nested = [](std::size_t depth) { return std::string(depth, '[') + "x" + std::string(depth, ']'); };
  Faults none;
  EXPECT_EQ(parse_document(nested(deepest_document_nesting), "f", none).kind(), NodeKind::sequence);
  EXPECT_FALSE(none.any());
  for (std::size_t depth : {deepest_document_nesting + 1, std::size_t{900}, std::size_t{1'000'000}}) {
    Faults faults;
    parse_document(nested(depth), "f", faults);
    EXPECT_NE(only_fault(faults).find("nested deeper than 64"), std::string::npos) << depth;
  }
  // Nesting built by aliases, one level a line.
  std::string text = "- &a0 [x]\n";
  for (int i = 0; i < 100; ++i) text += "- &a" + std::to_string(i + 1) + " [*a" + std::to_string(i) + "]\n";
  Faults faults;
  parse_document(text, "f", faults);
  EXPECT_NE(only_fault(faults).find("nested deeper than 64"), std::string::npos);
}

// The YAML library would hold each bracket in memory, a gigabyte, before it names the first.
TEST(DocumentLimits, AFileOfBracketsIsTurnedAwayAtOnce) {
  for (char bracket : {'[', '{'}) {
    const auto start = Clock::now();
    Faults faults;
    parse_document(std::string(largest_document_bytes, bracket), "f", faults);
    EXPECT_LT(seconds_since(start), 0.5);
    EXPECT_NE(only_fault(faults).find("nested deeper than 64"), std::string::npos);
  }
}

// 256 kB of one scrap of text each. Some are sound YAML; none may take long or crash.
TEST(DocumentLimits, LongFilesOfOneScrapEndSoon) {
  for (const char* scrap :
       {"[", "{", "[a,", "{a: ", "- ",    "? ",  "a: ",  "&a ", "*a ",        "! ",  "\"", "|\n",
        ",", ":", "#",   "\n",   "- a\n", "-\n", "<<: ", "[]",  "? a\n: b\n", "a\n", "\\", "%a\n"}) {
    std::string text;
    while (text.size() < 256 * 1024) text += scrap;
    const auto start = Clock::now();
    Faults faults;
    const Node node = parse_document(text, "f", faults);
    // Measured below 0.1 s optimised; the sanitizers slow it down some ten times.
    EXPECT_LT(seconds_since(start), 2) << scrap;
    EXPECT_TRUE(faults.any() || node.kind() != NodeKind::null) << scrap;
    EXPECT_LE(faults.faults().size(), 101U);
  }
}

// Deterministic mutations of sound text: always a tree or a fault, each fault in one line.
TEST(DocumentLimits, MutatedTextGivesATreeOrAFault) {
  const std::string seed =
      "cabinfield: 1\ntitle: \"box \\u00e9\"\nair: {temperature: 20 degC, humidity: 50 %}\n"
      "base: &base {model: mid, aim: {seat: driver}}\ndrivers:\n  left:\n    <<: *base\n"
      "    position: [0.7, -0.7, 0.25] # taped\n  right: {<<: [*base], setback: '25 mm'}\n"
      "note: |\n  two\n  lines\nlist:\n- a\n- [b, c]\n- ? d\n  : e\n";
  const std::vector<std::string> scraps = {"[",         "]",  "{",     "}",     ":",  "- ",  "&a ", "*base",
                                           "<<: *base", "\n", "\t",    "\"",    "'",  "#",   "|",   ">",
                                           "!!x ",      "%",  "---\n", "...\n", "? ", ",",   "\0",  "\xC3",
                                           "\xFF",      "é",  "~",     "\r",    "  ", "null"};
  std::mt19937 random(4);
  auto below = [&](std::size_t limit) { return static_cast<std::size_t>(random()) % limit; };
  for (int round = 0; round < 5000; ++round) {
    std::string text = seed;
    for (std::size_t change = 0; change <= below(6); ++change) {
      const std::size_t at = below(text.size() + 1);
      switch (below(4)) {
        case 0:
          text.insert(at, scraps[below(scraps.size())]);
          break;
        case 1:
          text.erase(at, below(12));
          break;
        case 2:
          text.insert(at, text.substr(below(text.size() + 1), below(60)));
          break;
        default:
          if (at < text.size()) text[at] = static_cast<char>(below(256));
      }
    }
    Faults faults;
    const Node node = parse_document(text, "f", faults);
    ASSERT_TRUE(faults.any() || node.kind() != NodeKind::null) << text;
    for (const Fault& fault : faults.faults()) {
      ASSERT_EQ(fault.message.find('\n'), std::string::npos) << fault.message;
      ASSERT_FALSE(fault.message.empty());
      ASSERT_GE(fault.location.line, 0);
    }
  }
}

}  // namespace
}  // namespace cabinfield
