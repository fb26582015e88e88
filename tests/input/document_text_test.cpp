// A document written out reads back as the same document.
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "input/document.h"

namespace cabinfield {
namespace {

Node parsed(const std::string& text) {
  Faults faults;
  const Node node = parse_document(text, "f", faults);
  for (const Fault& fault : faults.faults()) ADD_FAILURE() << to_string(fault) << "\n" << text;
  return node;
}

TEST(DocumentText, ReadsBackWhateverStoodThere) {
  for (const std::string text :
       {"a: 1\nb: '1'\nc: [1, '1', +5, -1e-3, .5, 0x1F, '0x1F', 31.5 Hz, ~, null, 'null', '~', '']\n",
        "{yes: no, 'y': on, '<<': {a: b}, '1': 007, 'a: b': 'c # d', ' x ': ' y '}\n",
        "'a': \"two\\nlines\\tand a tab\"\nb: |\n  as it\n  stands\nc: >\n  folded\n  text\n",
        "- [[1, 2], {x: 3, y: [4]}]\n- {}\n- []\n-\n- just text\n",
        "base: &b {x: 1, y: {z: 2}}\nmore: {<<: *b, x: 3}\nagain: *b\n", "one word\n", "'é größer 日本語'\n",
        "long: [aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa, bbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbb, "
        "cccccccccccccccccccccccccccccccc dddddddddddddd]\n"}) {
    const Node node = parsed(text);
    const Node again = parsed(document_text(node));
    EXPECT_TRUE(same_content(again, node)) << document_text(node);
  }
}

TEST(DocumentText, ANumberInQuotesStaysText) {
  const Node again = parsed(document_text(parsed("{a: '1', b: 1}")));
  EXPECT_TRUE(again.find("a")->quoted());
  EXPECT_FALSE(again.find("b")->quoted());
  EXPECT_FALSE(same_content(*again.find("a"), *again.find("b")));
}

TEST(DocumentText, ShortThingsStandOnOneLine) {
  EXPECT_EQ(document_text(parsed("cabin:\n  box:\n    length: 2 m\n  y:\n    - 1\n    - 2\n")),
            "cabin:\n  box: {length: 2 m}\n  y: [1, 2]\n");
}

TEST(DocumentText, NodesPutTogetherKeepTheirPlaces) {
  const Node item = scalar_node("1", {"f", 1, 2});
  const Node list = list_node({item, item}, {"f", 1, 1});
  const Node mapping = mapping_node({{"a", {"g", 3, 4}, list}}, {"g", 3, 3});
  EXPECT_EQ(document_text(mapping), "a: [1, 1]\n");
  EXPECT_EQ(mapping.location(), (SourceLocation{"g", 3, 3}));
  EXPECT_EQ(mapping.find("a")->location(), (SourceLocation{"f", 1, 1}));
  EXPECT_EQ(mapping.find("a")->items()[1].location(), (SourceLocation{"f", 1, 2}));
  EXPECT_TRUE(same_content(mapping, parsed("{a: [1, 1]}")));
  EXPECT_FALSE(same_content(mapping, parsed("{a: [1, 2]}")));
  EXPECT_FALSE(same_content(mapping, parsed("{b: [1, 1]}")));
  EXPECT_FALSE(same_content(mapping, parsed("{a: [1]}")));
}

}  // namespace
}  // namespace cabinfield
