// YAML text to a tree with places: kinds, quotes, places, anchors, merge keys (yaml.org/type/merge.html,
// whose example is used), and what is refused.
#include "input/document.h"

#include <gtest/gtest.h>

#include <string>
#include <vector>

namespace cabinfield {
namespace {

Node parsed(const std::string& text) {
  Faults faults;
  const Node node = parse_document(text, "f.yaml", faults);
  EXPECT_FALSE(faults.any()) << text << "\n" << (faults.any() ? to_string(faults.faults()[0]) : "");
  return node;
}

std::vector<std::string> faults_of(const std::string& text) {
  Faults faults;
  parse_document(text, "f.yaml", faults);
  std::vector<std::string> lines;
  for (const Fault& fault : faults.faults()) lines.push_back(to_string(fault));
  return lines;
}

// The whole tree on one line, to compare; quoted scalars in quotes.
std::string shown(const Node& node) {
  std::string line;
  switch (node.kind()) {
    case NodeKind::null:
      return "~";
    case NodeKind::scalar:
      return node.quoted() ? "\"" + node.text() + "\"" : node.text();
    case NodeKind::sequence:
      for (const Node& item : node.items()) line += (line.empty() ? "" : ", ") + shown(item);
      return "[" + line + "]";
    case NodeKind::mapping:
      for (const Entry& entry : node.entries())
        line += (line.empty() ? "" : ", ") + entry.key + ": " + shown(entry.value);
      return "{" + line + "}";
  }
  return line;
}

std::string spot(const SourceLocation& location) {
  return std::to_string(location.line) + ":" + std::to_string(location.column);
}

TEST(Document, BuildsTheTree) {
  const std::vector<std::pair<std::string, std::string>> table = {
      {"a: 1", "{a: 1}"},
      {"a: 1\r\nb: 2\r\n", "{a: 1, b: 2}"},
      {"\xEF\xBB\xBF"
       "a: 1",
       "{a: 1}"},
      {"a: '1'\nb: \"1\"\nc: ! 1\nd: !!str 1", "{a: \"1\", b: \"1\", c: \"1\", d: \"1\"}"},
      {"a:\nb: ~\nc: null\nd: 'null'", "{a: ~, b: ~, c: ~, d: \"null\"}"},
      {"a: [1, [2, x], {b: 3}]", "{a: [1, [2, x], {b: 3}]}"},
      {"- a\n-\n- b", "[a, ~, b]"},
      {"{}", "{}"},
      {"[]", "[]"},
      {"text", "text"},
      {"a: |\n  one\n  two\n", "{a: \"one\ntwo\n\"}"},
      {"a: b # comment", "{a: b}"},
      {"# only\n---\na: 1\n...\n", "{a: 1}"},
      {"a: 50 %\nb: -3 dB\nc: 2.8 kHz", "{a: 50 %, b: -3 dB, c: 2.8 kHz}"},
      {"125 Hz: 0.08", "{125 Hz: 0.08}"},
      {"a: &x [1]\nb: *x", "{a: [1], b: [1]}"},
      {"? a\n: b", "{a: b}"},
      {"ü: größer", "{ü: größer}"},
      {"a: \"\\U0001F50A\\n\"", "{a: \"\U0001F50A\n\"}"},
  };
  for (const auto& [text, tree] : table) EXPECT_EQ(shown(parsed(text)), tree) << text;
}

TEST(Document, KeepsPlacesInCharacters) {
  const Node root = parsed("a: 1\nb:\n  - x\n  - {c: y}\né: [ü, z]\n");
  ASSERT_EQ(root.entries().size(), 3U);
  EXPECT_EQ(root.location(), (SourceLocation{"f.yaml", 1, 1}));
  EXPECT_EQ(spot(root.entries()[0].key_location), "1:1");
  EXPECT_EQ(spot(root.find("a")->location()), "1:4");
  EXPECT_EQ(spot(root.find("b")->items()[0].location()), "3:5");
  EXPECT_EQ(spot(root.find("b")->items()[1].find("c")->location()), "4:9");
  EXPECT_EQ(spot(root.find("é")->location()), "5:4");
  EXPECT_EQ(spot(root.find("é")->items()[1].location()), "5:8");
  EXPECT_EQ(root.find("d"), nullptr);
}

TEST(Document, PutsAnAbsentValueAtItsKey) {
  const Node root = parsed("a:\n\n\nb: 1\n");
  EXPECT_EQ(spot(root.find("a")->location()), "1:1");
}

TEST(Document, MergesMappings) {
  const std::string base = "- &CENTER {x: 1, y: 2}\n- &LEFT {x: 0, y: 2}\n- &BIG {r: 10}\n- &SMALL {r: 1}\n";
  const std::vector<std::pair<std::string, std::string>> table = {
      {"- {x: 1, y: 2, r: 10, label: c}", "{x: 1, y: 2, r: 10, label: c}"},
      {"- {<<: *CENTER, r: 10, label: c}", "{x: 1, y: 2, r: 10, label: c}"},
      {"- {<<: [*CENTER, *BIG], label: c}", "{x: 1, y: 2, r: 10, label: c}"},
      {"- {<<: [*BIG, *LEFT, *SMALL], x: 1, label: c}", "{r: 10, y: 2, x: 1, label: c}"},
      {"- {x: 1, <<: [*BIG, *LEFT]}", "{x: 1, r: 10, y: 2}"},
      {"- {<<: {a: 1}, b: 2}", "{a: 1, b: 2}"},
      {"- {<<: [], b: 2}", "{b: 2}"},
      {"- {'<<': x}", "{<<: x}"},
  };
  for (const auto& [text, tree] : table) EXPECT_EQ(shown(parsed(base + text).items()[4]), tree) << text;
  // A mapping merged into one that is merged again.
  EXPECT_EQ(shown(*parsed("a: &a {x: 1, y: 1}\nb: &b {<<: *a, y: 2}\nc: {<<: *b, z: 3}").find("c")),
            "{x: 1, y: 2, z: 3}");
}

TEST(Document, NamesEveryKeyGivenTwiceAndKeepsTheFirst) {
  const std::string text = "a: 1\nb: {c: 1, c: 2}\na: 3\n";
  const std::vector<std::string> expected = {
      "f.yaml:2:11: key 'c' is given twice in one mapping, first in line 2",
      "f.yaml:3:1: key 'a' is given twice in one mapping, first in line 1",
  };
  EXPECT_EQ(faults_of(text), expected);
  Faults faults;
  EXPECT_EQ(shown(parse_document(text, "f.yaml", faults)), "{a: 1, b: {c: 1}}");
}

TEST(Document, RefusesWithAPlace) {
  const std::vector<std::pair<std::string, std::string>> table = {
      {"", "f.yaml: the file is empty"},
      {"# nothing\n", "f.yaml: the file is empty"},
      {"---\n", "f.yaml: the file is empty"},
      {"~", "f.yaml: the file is empty"},
      {"a: 1\n---\nb: 2\n", "f.yaml:2:1: a second document begins here: a file holds only one"},
      {"a: \"b\nc: 1\n", "f.yaml:1:4: the quote that begins here does not end: close it on this line"},
      {"a: 'it''s\nc: ''1\n", "f.yaml:1:4: the quote that begins here does not end: close it on this line"},
      {"a:\n  - &x !!str \"b\\\" c",
       "f.yaml:2:5: the quote that begins here does not end: close it on this line"},
      {"\"a: 1\n", "f.yaml:1:1: the quote that begins here does not end: close it on this line"},
      {"a: 1\n b: 2",
       "f.yaml:2:3: this is not YAML: misplaced ':': check the indent, quotes and commas here and above"},
      {"a: *b", "f.yaml:1:4: this is not YAML: the referenced anchor is not defined"},
      {"a: &a [*a]", "f.yaml:1:8: this alias is inside the value that it refers to"},
      {"[a]: 1", "f.yaml:1:1: a key must be plain text, not a list or a mapping"},
      {"b: &b [1]\n*b : 1", "f.yaml:2:1: a key must be plain text, not a list or a mapping"},
      {"null: 1", "f.yaml:1:1: a key is missing, or is the word null: put it in quotes"},
      {"a: !driver {b: 1}", "f.yaml:1:4: the tag '!driver' has no meaning here: remove it"},
      {"a: !!binary Zm9v", "f.yaml:1:4: the tag 'tag:yaml.org,2002:binary' has no meaning here: remove it"},
      {"a: 1\nb: {<<: x}", "f.yaml:2:5: '<<' merges a mapping or a list of mappings, this is text 'x'"},
      {"a: {<<: [{b: 1}, x]}", "f.yaml:1:5: '<<' merges a mapping or a list of mappings, this is text 'x'"},
      {"x: &x {a: 1}\ny: &y {b: 1}\nz:\n  <<: *x\n  <<: *y\n",
       "f.yaml:5:3: '<<' is given twice in one mapping: merge several with a list, <<: [*one, *two]"},
      {"a: 1\nb: \"caf\xE9\"", "f.yaml:2:8: this byte is not UTF-8 text: save the file as UTF-8"},
      {std::string("a: 1\nb\0: 2", 10), "f.yaml:2:2: a NUL byte: this is not a text file"},
      {"a: \x1B[1m", "f.yaml:1:4: a control character: this is not plain text"},
      {"\xFF\xFE"
       "a",
       "f.yaml:1:1: the text is UTF-16: save it as UTF-8"},
  };
  for (const auto& [text, fault] : table) {
    const std::vector<std::string> found = faults_of(text);
    ASSERT_EQ(found.size(), 1U) << text;
    EXPECT_EQ(found[0], fault) << text;
  }
}

TEST(Document, SaysWhereTextStopsBeingYaml) {
  const std::vector<std::pair<std::string, std::string>> table = {
      {"a: [1, 2", "f.yaml:1:"},  {"a: b: c", "f.yaml:1:5:"}, {"a: 1\n b: 2", "f.yaml:2:"},
      {"a: {b: 1]", "f.yaml:1:"}, {"a: @b", "f.yaml:1:4:"},
  };
  for (const auto& [text, start] : table) {
    const std::vector<std::string> found = faults_of(text);
    ASSERT_EQ(found.size(), 1U) << text;
    EXPECT_TRUE(found[0].starts_with(start)) << found[0];
    EXPECT_NE(found[0].find("this is not YAML: "), std::string::npos) << found[0];
  }
  const std::vector<std::string> tabs = faults_of("a:\n\tb: 1\n");
  ASSERT_EQ(tabs.size(), 1U);
  EXPECT_TRUE(tabs[0].starts_with("f.yaml:2:")) << tabs[0];
  EXPECT_NE(tabs[0].find("begins with a tab"), std::string::npos) << tabs[0];
}

TEST(Document, DescribesNodesInWords) {
  const Node root = parsed("a: [1]\nb: {}\nc: x y\nd:");
  EXPECT_EQ(in_words(*root.find("a")), "a list");
  EXPECT_EQ(in_words(*root.find("b")), "a mapping");
  EXPECT_EQ(in_words(*root.find("c")), "text 'x y'");
  EXPECT_EQ(in_words(*root.find("d")), "empty");
}

}  // namespace
}  // namespace cabinfield
