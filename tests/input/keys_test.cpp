// Declared keys: values of every kind read, all faults at once with place and words, filling, reference.
#include "input/keys.h"

#include <gtest/gtest.h>

#include <cmath>
#include <iterator>
#include <random>
#include <string>
#include <tuple>
#include <vector>

#include "input/toy_spec.h"

namespace cabinfield {
namespace {

ToySpec read_toy(const std::string& text, Faults& faults, double length_unit_m = 1) {
  const Node node = parse_document(text, "f", faults);
  Reading reading{faults, length_unit_m};
  return toy_keys().read(node, reading);
}

ToySpec sound_toy(const std::string& text, double length_unit_m = 1) {
  Faults faults;
  ToySpec spec = read_toy(text, faults, length_unit_m);
  for (const Fault& fault : faults.faults()) ADD_FAILURE() << text << ": " << to_string(fault);
  return spec;
}

std::vector<std::string> faults_of(const std::string& text) {
  Faults faults;
  read_toy(text, faults);
  std::vector<std::string> lines;
  for (const Fault& fault : faults.faults()) lines.push_back(to_string(fault));
  return lines;
}

TEST(Keys, ReadsEveryKind) {
  const ToySpec toy = sound_toy(R"(
title: 1.0
height: 120 mm
weight: '14 kg'
share: 45 %
factor: 1.25
count: 3
folded: yes
colour: green
surface: dash.top
at: [0.5, -0.25, 1]
corner: [1, 2]
x: -3.5
span: [-1, 1]
aim: [0, 0, -2]
tags: [a, "b c"]
outline: [[0, 0], [1, 0.5]]
parts: [{name: one, gain: -3 dB}, {}]
legs: {front_left: {length: 25 mm}, front-right: {length: 30 mm, foot: round}}
delays: {b: 1 ms, a: 2 ms}
absorption: {125 Hz: 0.08, 1 kHz: 0.5}
model: plain
impedance: [20, -5]
factor_in_db: 20 dB
)");
  EXPECT_EQ(toy.title, "1.0");
  EXPECT_EQ(toy.height_m, 0.12);
  EXPECT_EQ(toy.weight_kg, 14);
  EXPECT_EQ(toy.share, 0.45);
  EXPECT_EQ(toy.factor, 1.25);
  EXPECT_EQ(toy.count, 3);
  EXPECT_TRUE(toy.folded);
  EXPECT_EQ(toy.colour, ToyColour::green);
  ASSERT_TRUE(toy.surface);
  EXPECT_EQ(toy.surface->value, "dash.top");
  EXPECT_EQ(toy.surface->location, (SourceLocation{"f", 10, 10}));
  EXPECT_EQ(toy.at, Vector3(0.5, -0.25, 1));
  EXPECT_EQ(toy.corner, Vector2(1, 2));
  EXPECT_EQ(toy.x_m, -3.5);
  EXPECT_EQ(toy.span_m, (std::array<double, 2>{-1, 1}));
  EXPECT_EQ(toy.aim, Vector3(0, 0, -2));
  EXPECT_EQ(toy.tags, (std::vector<std::string>{"a", "b c"}));
  ASSERT_EQ(toy.outline.size(), 2U);
  EXPECT_EQ(toy.outline[1], Vector2(1, 0.5));
  ASSERT_EQ(toy.parts.size(), 2U);
  EXPECT_EQ(toy.parts[0].gain_db, -3);
  EXPECT_TRUE(toy.parts[0].has("gain"));
  EXPECT_FALSE(toy.parts[1].has("gain"));
  ASSERT_EQ(toy.legs.size(), 2U);
  EXPECT_EQ(toy.legs[1].name, "front-right");
  EXPECT_EQ(toy.legs[1].location.line, 19);
  EXPECT_EQ(toy.legs[1].value.foot, "round");
  ASSERT_EQ(toy.delays_s.size(), 2U);
  EXPECT_EQ(toy.delays_s[0].name, "b");
  EXPECT_EQ(toy.delays_s[0].value, 0.001);
  EXPECT_EQ(toy.absorption, (std::vector<std::pair<double, double>>{{125, 0.08}, {1000, 0.5}}));
  EXPECT_EQ(std::get<std::string>(*toy.model), "plain");
  EXPECT_EQ(std::get<1>(*toy.impedance), (std::vector<double>{20, -5}));
  EXPECT_NEAR(*toy.decibels_as_factor, 10, 1e-14);  // one rounding of the power
  EXPECT_EQ(toy.location, (SourceLocation{"f", 2, 1}));
  EXPECT_EQ(toy.keys.at("height").line, 3);
}

TEST(Keys, AlternativesAreToldApartByTheKindOfNode) {
  EXPECT_EQ(std::get<ToyLegSpec>(*sound_toy("model: {length: 5 mm}").model).length_m, 0.005);
  EXPECT_EQ(std::get<double>(*sound_toy("impedance: 20").impedance), 20);
}

TEST(Keys, PositionsAreInTheFilesLengthUnit) {
  const ToySpec toy =
      sound_toy("at: [50, -25, 100]\ncorner: [1, 2]\nx: 7\nspan: [1, 2]\naim: [0, 3, 4]", 0.01);
  EXPECT_TRUE(toy.at->isApprox(Vector3(0.5, -0.25, 1), 1e-15));
  EXPECT_TRUE(toy.corner->isApprox(Vector2(0.01, 0.02), 1e-15));
  EXPECT_DOUBLE_EQ(*toy.x_m, 0.07);
  EXPECT_DOUBLE_EQ((*toy.span_m)[1], 0.02);
  EXPECT_EQ(toy.aim, Vector3(0, 3, 4));
}

TEST(Keys, LimitsAreInclusive) {
  EXPECT_EQ(*sound_toy("legs: {a: {length: 300 mm}}").legs[0].value.length_m, 0.3);
  EXPECT_EQ(*sound_toy("legs: {a: {length: 0 mm}}").legs[0].value.length_m, 0);
  EXPECT_EQ(*sound_toy("share: 100 %").share, 1);
  EXPECT_EQ(sound_toy("count: 8").count, 8);
}

TEST(Keys, NamesEachFault) {
  const std::string leg_words = "a mapping of length, foot";
  const std::vector<std::pair<std::string, std::string>> table = {
      {"[1]", "f:1:1: the file is a list, expected a mapping of title, height"},
      {"text", "f:1:1: the file is text 'text', expected a mapping of title, height"},
      {"heigth: 1 m", "f:1:1: unknown key 'heigth'; did you mean 'height'? known: title, height"},
      {"volume: 1 L", "f:1:1: unknown key 'volume'; known: title, height"},
      {"height: 5 mm", "f:1:9: height 5 mm is below the least allowed, 100 mm"},
      {"height: 62", "f:1:9: height '62' has no unit: write a length such as 25 mm, 1.2 m or 6.5 in"},
      {"height: 62 kg", "f:1:9: height '62 kg' is a mass, expected a length such as 25 mm, 1.2 m or 6.5 in"},
      {"height: [1]",
       "f:1:9: height is a list, expected a length such as 25 mm, 1.2 m or 6.5 in, at least 100 mm"},
      {"height:",
       "f:1:1: height has no value, expected a length such as 25 mm, 1.2 m or 6.5 in, at least 100 mm"},
      {"title: {a: 1}", "f:1:8: title is a mapping, expected text"},
      {"share: 120 %", "f:1:8: share 120 % is outside 0 % to 100 %"},
      {"factor: 3", "f:1:9: factor 3 is outside 0.5 to 2"},
      {"factor: 1.5x", "f:1:9: factor '1.5x' is not a number, expected a number, from 0.5 to 2"},
      {"factor: '1.5'", "f:1:9: factor '1.5' is not a number, expected a number, from 0.5 to 2"},
      {"factor: .inf", "f:1:9: factor '.inf' is not a number, expected a number, from 0.5 to 2"},
      {"factor: nan", "f:1:9: factor 'nan' is not a number, expected a number, from 0.5 to 2"},
      {"factor: 1e999", "f:1:9: factor '1e999' is not a number, expected a number, from 0.5 to 2"},
      {"count: 9", "f:1:8: count 9 is not a whole number from 1 to 8"},
      {"count: 2.5", "f:1:8: count 2.5 is not a whole number from 1 to 8"},
      {"folded: maybe", "f:1:9: folded 'maybe' is not known, expected one of yes, no, true, false"},
      {"colour: gren", "f:1:9: colour 'gren' is not known; did you mean 'green'? expected one of red, green"},
      {"colour: [red]", "f:1:9: colour is a list, expected one of red, green"},
      {"surface: dash.top.left",
       "f:1:10: surface 'dash.top.left' is not a name, or up to 2 names joined by dots: names are letters, "
       "digits, "
       "'_' and '-'"},
      {"at: [1, 2]",
       "f:1:5: at has 2 numbers, expected three bare numbers [x, y, z] in the file's length unit"},
      {"at: [1, 2, 3 m]",
       "f:1:12: at item 3 '3 m' is not a number, expected a bare number in the file's length unit"},
      {"at: [1, , 3]", "f:1:9: at item 2 has no value, expected a bare number in the file's length unit"},
      {"at: 1", "f:1:5: at is text '1', expected three bare numbers [x, y, z] in the file's length unit"},
      {"at: [1450, 0, 0]",
       "f:1:6: at item 1 1450 m is further than 100 m from the origin: is the file's length unit right?"},
      {"span: [2, 1]", "f:1:7: span runs from 2 down to 1: give the smaller number first"},
      {"aim: [0, 0, 0.0]", "f:1:6: aim is [0, 0, 0], which has no direction"},
      {"tags: []", "f:1:7: tags has 0 items, expected at least 1"},
      {"tags: [a, b, c, d]", "f:1:7: tags has 4 items, expected at most 3"},
      {"tags: [a, ~]", "f:1:11: tags item 2 has no value, expected text"},
      {"tags: a", "f:1:7: tags is text 'a', expected a list of 1 to 3, each text"},
      {"outline: [[0, 0], [1, y]]",
       "f:1:23: outline item 2.2 'y' is not a number, expected a bare number in the file's length unit"},
      {"parts: [{}, {gian: 1 dB}]",
       "f:1:14: unknown key 'gian' in part 2; did you mean 'gain'? known: name, gain"},
      {"parts: [{name: one, gain: 1}]",
       "f:1:27: part 'one': gain '1' has no unit: write a level such as -3 dB"},
      {"parts: [x]", "f:1:9: parts item 1 is text 'x', expected a mapping of name, gain"},
      {"legs: {a: {length: 900 mm}}", "f:1:20: leg 'a': length 900 mm is outside 0 mm to 300 mm"},
      {"legs: {a: {lenght: 9 mm}}",
       "f:1:12: unknown key 'lenght' in leg 'a'; did you mean 'length'? known: length, foot"},
      {"legs: {a: {length: 9 mm, fot: a}}",
       "f:1:26: unknown key 'fot' in leg 'a'; did you mean 'foot'? known: length, foot"},
      {"legs: {a: {}}",
       "f:1:11: key 'length' is missing in leg 'a': give a length such as 25 mm, 1.2 m or 6.5 in, from 0 mm "
       "to 300 "
       "mm"},
      {"legs: {a: }", "f:1:8: legs 'a' has no value, expected " + leg_words},
      {"legs: {a: 5}", "f:1:11: legs 'a' is text '5', expected " + leg_words},
      {"legs: {a b: {length: 5 mm}}",
       "f:1:8: legs 'a b' is not a name: use up to 64 letters, digits, '_' and '-'"},
      {"legs: [a]", "f:1:7: legs is a list, expected a mapping from names to values, each " + leg_words},
      {"delays: {a: 2 s}", "f:1:13: delays 'a' 2 s is outside 0 s to 1 s"},
      {"absorption: {125: 0.1}",
       "f:1:14: absorption '125' has no unit: write a frequency such as 62 Hz or 2.8 kHz"},
      {"absorption: {125 Hz: 1.4}", "f:1:22: absorption '125 Hz' 1.4 is outside 0 to 1"},
      {"absorption: {1 kHz: 0.1, 1000 Hz: 0.2}", "f:1:26: absorption '1000 Hz' is given twice"},
      {"model: a b", "f:1:8: model 'a b' is not a name: use up to 64 letters, digits, '_' and '-'"},
      {"model: [a]", "f:1:8: model is a list, expected a name, or " + leg_words},
      {"model: {length: 1 m}", "f:1:17: model: length 1 m is outside 0 mm to 300 mm"},
      {"impedance: {a: 1}",
       "f:1:12: impedance is a mapping, expected a number, or a list of 2, each a number"},
      {"wheels: 4", "f:1:1: wheels is not supported yet: comes later"},
      {"wheels:", "f:1:1: wheels is not supported yet: comes later"},
      {"wheel: 4", "f:1:1: unknown key 'wheel'; did you mean 'wheels'? known: title, height"},
  };
  for (const auto& [text, fault] : table) {
    const std::vector<std::string> found = faults_of(text);
    ASSERT_EQ(found.size(), 1U) << text << (found.empty() ? "" : "\n" + found[0] + "\n" + found.back());
    if (fault.find("title, height") == std::string::npos) {
      EXPECT_EQ(found[0], fault);
    } else {  // the list of all keys of the toy goes on
      EXPECT_TRUE(found[0].starts_with(fault)) << found[0];
    }
  }
}

TEST(Keys, FaultsCarryTheirCodeAndTheirKey) {
  const std::vector<std::tuple<std::string, FaultCode, std::string>> table = {
      {"heigth: 1 m", FaultCode::unknown_key, "heigth"},
      {"height: [1]", FaultCode::wrong_kind, "height"},
      {"height:", FaultCode::wrong_kind, "height"},
      {"height: 62", FaultCode::unit, "height"},
      {"height: 62 kg", FaultCode::unit, "height"},
      {"height: 5 mm", FaultCode::out_of_range, "height"},
      {"factor: 3", FaultCode::out_of_range, "factor"},
      {"factor: 1.5x", FaultCode::invalid_value, "factor"},
      {"count: 9", FaultCode::out_of_range, "count"},
      {"colour: gren", FaultCode::unknown_name, "colour"},
      {"at: [1, 2]", FaultCode::wrong_count, "at"},
      {"at: [1450, 0, 0]", FaultCode::out_of_range, "at"},
      {"tags: []", FaultCode::wrong_count, "tags"},
      {"legs: {a: {}}", FaultCode::missing_key, "length"},
      {"absorption: {1 kHz: 0.1, 1000 Hz: 0.2}", FaultCode::duplicate_name, "absorption"},
      {"wheels: 4", FaultCode::unsupported, "wheels"},
  };
  for (const auto& [text, code, key] : table) {
    Faults faults;
    read_toy(text, faults);
    ASSERT_EQ(faults.faults().size(), 1U) << text;
    EXPECT_EQ(faults.faults()[0].code, code) << text;
    EXPECT_EQ(faults.faults()[0].subject, (FaultSubject{SubjectKind::key, key})) << text;
  }
}

TEST(Keys, CollectsAllFaultsAndKeepsWhatCouldBeRead) {
  Faults faults;
  const ToySpec toy = read_toy(
      "height: 62\nweigth: 1 kg\ncount: 3\nat: [a, b, c]\nlegs: {a: {length: 1 m, foot: x y}, b: {length: 5 "
      "mm}}\n",
      faults);
  std::vector<int> lines;
  for (const Fault& fault : faults.faults()) lines.push_back(fault.location.line);
  EXPECT_EQ(lines, (std::vector<int>{1, 2, 4, 4, 4, 5, 5}));
  EXPECT_EQ(toy.count, 3);
  EXPECT_FALSE(toy.height_m);
  EXPECT_TRUE(toy.has("height"));
  EXPECT_FALSE(toy.has("weigth"));
  ASSERT_EQ(toy.legs.size(), 2U);
  EXPECT_FALSE(toy.legs[0].value.length_m);
  EXPECT_EQ(toy.legs[1].value.length_m, 0.005);
}

TEST(Keys, FillCopiesOnlyWhatWasNotGiven) {
  ToySpec own = sound_toy("count: 3\nheight: 200 mm");
  const ToySpec other = sound_toy("\ncount: 5\nweight: 2 kg\ntitle: other");
  toy_keys().fill(own, other);
  EXPECT_EQ(own.count, 3);
  EXPECT_EQ(own.height_m, 0.2);
  EXPECT_EQ(own.weight_kg, 2);
  EXPECT_EQ(own.title, "other");
  EXPECT_EQ(own.keys.at("count").line, 1);
  EXPECT_EQ(own.keys.at("weight").line, 3);
  EXPECT_FALSE(own.has("folded"));
}

TEST(Keys, ReferenceHasOneLineForEachKey) {
  EXPECT_EQ(key_reference(toy_leg_keys()),
            "length: a length such as 25 mm, 1.2 m or 6.5 in, from 0 mm to 300 mm; floor to top (required)\n"
            "foot: a name\n");
  const std::string all = key_reference(toy_keys());
  EXPECT_NE(all.find("\nwheels: not yet supported; comes later\n"), std::string::npos);
  EXPECT_NE(all.find("\ncount: a whole number from 1 to 8\n"), std::string::npos);
  EXPECT_NE(all.find("\nfolded: yes or no\n"), std::string::npos);
}

// Deterministic mutations of sound text: read to the end whatever it holds, every fault a line of its own.
TEST(Keys, MutatedTextIsReadToItsEnd) {
  const std::string seed =
      "title: a\nheight: 120 mm\nshare: 45 %\ncount: 3\nfolded: yes\ncolour: red\nsurface: dash.top\n"
      "at: [0.5, -0.25, 1]\nspan: [-1, 1]\ntags: [a, b]\nparts: [{name: one, gain: -3 dB}]\n"
      "legs: {a: {length: 25 mm}}\ndelays: {b: 1 ms}\nabsorption: {125 Hz: 0.08}\nimpedance: [20, -5]\n";
  const std::string scraps[] = {"[", "]", "{", "}",  ": ", ", ", "~",  "-", ".",
                                "9", "e", " ", "\n", "'",  "\"", "kg", "%", "x"};
  std::mt19937 random(11);
  for (int round = 0; round < 3000; ++round) {
    std::string text = seed;
    for (int change = 0; change < 3; ++change) {
      const std::size_t at = random() % text.size();
      if (random() % 3 == 0) {
        text.erase(at, random() % 4);
      } else {
        text.insert(at, scraps[random() % std::size(scraps)]);
      }
    }
    Faults faults;
    const ToySpec toy = read_toy(text, faults);
    if (toy.height_m) {
      ASSERT_TRUE(std::isfinite(*toy.height_m)) << text;
    }
    for (const Fault& fault : faults.faults())
      ASSERT_EQ(fault.message.find('\n'), std::string::npos) << fault.message;
  }
}

TEST(Keys, MessagesStayOnOneShortLine) {
  for (const std::string text :
       {"height: \"62\\nkg\"", "\"hei\\nght\": 1", "colour: \"gr\\nen\"", "legs: {\"a\\nb\": {length: 5 mm}}",
        "parts: [{name: \"a\\nb\", gain: 1}]", "count: \"1\\n2\"", "at: [\"1\\n\", 2, 3]"}) {
    for (const std::string& line : faults_of(text)) EXPECT_EQ(line.find('\n'), std::string::npos) << line;
  }
  const std::string long_text(100'000, 'x');
  for (const std::string& text :
       {"height: 5 " + long_text, "colour: " + long_text, "factor: " + long_text, "model: " + long_text,
        "legs: {" + long_text + ": 1}", "factor: 3." + long_text})
    for (const std::string& line : faults_of(text)) EXPECT_LT(line.size(), 600U) << text.substr(0, 20);
}

}  // namespace
}  // namespace cabinfield
