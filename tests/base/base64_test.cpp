// Base64 against the test vectors of RFC 4648, section 10.
#include "base/base64.h"

#include <gtest/gtest.h>

#include <string>

namespace cabinfield {
namespace {

std::string encoded(const std::string& text) { return base64(std::as_bytes(std::span(text))); }

TEST(Base64, MatchesTheVectorsOfTheStandard) {
  const std::pair<const char*, const char*> vectors[] = {{"", ""},
                                                         {"f", "Zg=="},
                                                         {"fo", "Zm8="},
                                                         {"foo", "Zm9v"},
                                                         {"foob", "Zm9vYg=="},
                                                         {"fooba", "Zm9vYmE="},
                                                         {"foobar", "Zm9vYmFy"}};
  for (const auto& [text, expected] : vectors) EXPECT_EQ(encoded(text), expected) << text;
}

TEST(Base64, UsesTheWholeAlphabet) { EXPECT_EQ(encoded("\xfb\xef\xbe\xff\xff\xff"), "++++////"); }

}  // namespace
}  // namespace cabinfield
