// User text in messages: on one line, harmless to a terminal, never cut inside a character.
#include "base/quoted.h"

#include <gtest/gtest.h>

#include <array>
#include <string>

namespace cabinfield {
namespace {

TEST(Quoted, ShowsAShortTextWhole) {
  EXPECT_EQ(cabinfield::quoted("door_left"), "'door_left'");
  EXPECT_EQ(cabinfield::quoted(""), "''");
  EXPECT_EQ(shortened(std::string(60, 'a')), std::string(60, 'a'));
}

TEST(Quoted, CutsALongOneAfterSixtyBytes) {
  EXPECT_EQ(shortened(std::string(61, 'a')), std::string(60, 'a') + "...");
  EXPECT_EQ(cabinfield::quoted(std::string(100'000, 'a')), "'" + std::string(60, 'a') + "...'");
}

TEST(Quoted, NeverCutsInsideACharacter) {
  // UTF-8 (RFC 3629): two, three and four bytes a character, of which all but the first are 10xxxxxx.
  for (const std::string character : {"\xC3\xA4", "\xE2\x82\xAC", "\xF0\x9D\x84\x9E"})
    for (std::size_t before = 0; before < 4; ++before) {
      std::string text(before, 'a');
      while (text.size() < 100) text += character;
      const std::string shown = shortened(text);
      ASSERT_TRUE(shown.ends_with("..."));
      const std::size_t kept = shown.size() - 3;
      EXPECT_LE(kept, 60U);
      EXPECT_GT(kept, 60 - character.size());
      EXPECT_EQ((kept - before) % character.size(), 0U) << character << " after " << before;
      EXPECT_EQ(shown.substr(0, kept), text.substr(0, kept));
    }
  // Not a character: continuation bytes only.
  EXPECT_EQ(shortened(std::string(100, '\x80')), "...");
}

TEST(Quoted, EscapesWhatATerminalObeys) {
  EXPECT_EQ(shortened("a\nb\tc"), "a\\nb\\tc");
  // ECMA-48: ESC begins a control sequence, DEL and the C1 set (here CSI, U+009B) control too.
  EXPECT_EQ(shortened("\x1b[31m"), "\\x1b[31m");
  EXPECT_EQ(shortened("\x7f"), "\\x7f");
  EXPECT_EQ(shortened("\xC2\x9B"
                      "31m"),
            "\\x9b31m");
  EXPECT_EQ(shortened(std::string("a\0b", 3)), "a\\x00b");
  EXPECT_EQ(shortened("\xC2\xA0\xC3\x84"), "\xC2\xA0\xC3\x84") << "U+00A0 and on are text";
}

TEST(Quoted, EscapesBytesThatAreNoText) {
  // RFC 3629: FF and FE never occur in UTF-8, C0 80 and ED A0 80 are an over-long form and a surrogate, and
  // a lone continuation (here CSI of C1 as one byte, which a terminal may execute) is not a character.
  EXPECT_EQ(shortened("a\xFF\xFE"
                      "b"),
            "a\\xff\\xfeb");
  EXPECT_EQ(shortened("\xC0\x80"), "\\xc0\\x80");
  EXPECT_EQ(shortened("\xED\xA0\x80"), "\\xed\\xa0\\x80");
  EXPECT_EQ(shortened("\x9B"
                      "2J"),
            "\\x9b2J");
  EXPECT_EQ(shortened("\xF0\x9D\x84"), "\\xf0\\x9d\\x84") << "cut short";
}

TEST(Quoted, TellsControlCharactersByTheirBytes) {
  EXPECT_EQ(control_character_bytes("a\x1b", 0), 0U);
  EXPECT_EQ(control_character_bytes("a\x1b", 1), 1U);
  EXPECT_EQ(control_character_bytes("\xC2\x85", 0), 2U);
  EXPECT_EQ(control_character_bytes("\xC2", 0), 0U) << "cut short";
}

TEST(Quoted, JoinsLists) {
  EXPECT_EQ(joined_by_commas(std::array<std::string, 3>{"a", "b", "c"}), "a, b, c");
  EXPECT_EQ(joined_by_commas(std::array<std::string, 0>{}), "");
}

}  // namespace
}  // namespace cabinfield
