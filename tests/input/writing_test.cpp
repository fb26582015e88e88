// What is written is read back as the same values.
#include "input/writing.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <string>
#include <vector>

#include "input/keys.h"
#include "input/toy_spec.h"

namespace cabinfield {
namespace {

ToySpec read_back(const std::string& text) {
  Faults faults;
  const Node node = parse_document(text, "f", faults);
  Reading reading{faults};
  ToySpec spec = toy_keys().read(node, reading);
  for (const Fault& fault : faults.faults()) ADD_FAILURE() << to_string(fault) << "\n" << text;
  return spec;
}

// Every value, with the doubles to the last bit, whatever was given or left to its default.
void expect_same(const ToySpec& a, const ToySpec& b) {
  EXPECT_EQ(a.title, b.title);
  EXPECT_EQ(a.height_m, b.height_m);
  EXPECT_EQ(a.weight_kg, b.weight_kg);
  EXPECT_EQ(a.share, b.share);
  EXPECT_EQ(a.factor, b.factor);
  EXPECT_EQ(a.count, b.count);
  EXPECT_EQ(a.folded, b.folded);
  EXPECT_EQ(a.colour, b.colour);
  ASSERT_EQ(a.surface.has_value(), b.surface.has_value());
  if (a.surface) {
    EXPECT_EQ(a.surface->value, b.surface->value);
  }
  EXPECT_EQ(a.at, b.at);
  EXPECT_EQ(a.corner, b.corner);
  EXPECT_EQ(a.x_m, b.x_m);
  EXPECT_EQ(a.span_m, b.span_m);
  EXPECT_EQ(a.aim, b.aim);
  EXPECT_EQ(a.tags, b.tags);
  EXPECT_EQ(a.outline, b.outline);
  ASSERT_EQ(a.parts.size(), b.parts.size());
  for (std::size_t i = 0; i < a.parts.size(); ++i) {
    EXPECT_EQ(a.parts[i].name, b.parts[i].name);
    EXPECT_EQ(a.parts[i].gain_db, b.parts[i].gain_db);
  }
  ASSERT_EQ(a.legs.size(), b.legs.size());
  for (std::size_t i = 0; i < a.legs.size(); ++i) {
    EXPECT_EQ(a.legs[i].name, b.legs[i].name);
    EXPECT_EQ(a.legs[i].value.length_m, b.legs[i].value.length_m);
    EXPECT_EQ(a.legs[i].value.foot, b.legs[i].value.foot);
  }
  ASSERT_EQ(a.delays_s.size(), b.delays_s.size());
  for (std::size_t i = 0; i < a.delays_s.size(); ++i) EXPECT_EQ(a.delays_s[i].value, b.delays_s[i].value);
  EXPECT_EQ(a.absorption, b.absorption);
  ASSERT_EQ(a.model.has_value(), b.model.has_value());
  if (a.model) {
    EXPECT_EQ(a.model->index(), b.model->index());
  }
  EXPECT_EQ(a.impedance, b.impedance);
}

TEST(Writing, ASpecReadIsTheSameAfterWritingAndReading) {
  const ToySpec toy = read_back(R"(
title: 'null'
height: 6.5 in
weight: 1.5 kg
share: 33.3 %
folded: no
colour: red
surface: dash.top
at: [0.1, -0.3, 1e-5]
corner: [1, 2]
x: 0.30000000000000004
span: [-1, 1]
aim: [0, 0, -2]
tags: ["yes", '', "a: b"]
outline: [[0, 0], [1, 0.5]]
parts: [{name: one, gain: -3.3 dB}, {}]
legs: {front_left: {length: 25.4 mm}, front-right: {length: 30 mm, foot: round}}
delays: {b: 1.24 ms, a: 2 ms}
absorption: {125 Hz: 0.08, 1 kHz: 0.5}
model: {length: 5 mm}
impedance: [20, -5]
)");
  const std::string text = written(toy_keys(), toy);
  const ToySpec again = read_back(text);
  expect_same(toy, again);
  EXPECT_EQ(toy.keys.size(), again.keys.size());
  for (const auto& [key, location] : toy.keys) EXPECT_TRUE(again.has(key)) << key;
  EXPECT_EQ(written(toy_keys(), again), text);
}

TEST(Writing, ASpecBuiltInCodeIsWrittenWhereItDiffersFromAFreshOne) {
  EXPECT_EQ(written(toy_keys(), ToySpec{}), "{}\n");
  ToySpec toy;
  toy.count = 7;
  toy.height_m = 0.25;
  toy.colour = ToyColour::green;
  toy.tags = {"a"};
  EXPECT_EQ(written(toy_keys(), toy), "height: 0.25 m\ncount: 7\ncolour: green\ntags: [a]\n");
  expect_same(toy, read_back(written(toy_keys(), toy)));
}

TEST(Writing, AKeyWhoseValueWasAtFaultIsLeftOut) {
  Faults faults;
  Reading reading{faults};
  const ToySpec toy = toy_keys().read(parse_document("height: 62\ncount: 3", "f", faults), reading);
  EXPECT_TRUE(faults.any());
  EXPECT_EQ(written(toy_keys(), toy), "count: 3\n");
}

TEST(Writing, RandomNumbersComeBackToTheLastBit) {
  std::mt19937_64 random(9);
  auto any = [&](double least, double greatest) {
    return least + (greatest - least) * static_cast<double>(random() >> 11) * 0x1p-53;
  };
  for (int round = 0; round < 300; ++round) {
    ToySpec toy;
    toy.height_m = any(0.1, 5);
    toy.weight_kg = std::exp(any(-300, 300));
    toy.share = any(0, 1);
    toy.factor = any(0.5, 2);
    toy.at = Vector3(any(-9, 9), any(-1e-9, 1e-9), any(-100, 100));
    toy.absorption = {{any(20, 200), any(0, 1)}, {any(201, 20000), any(0, 1)}};
    toy.impedance = std::vector<double>{any(-1e30, 1e30), any(-1e-30, 1e-30)};
    expect_same(toy, read_back(written(toy_keys(), toy)));
  }
}

TEST(Writing, AnyTextComesBackAsItWas) {
  std::vector<std::string> texts = {
      "plain",
      "two words",
      "",
      " ",
      " a",
      "a ",
      "yes",
      "No",
      "TRUE",
      "off",
      "null",
      "Null",
      "~",
      "1.0",
      "1",
      "-3 dB",
      "- a",
      "-",
      "--- a",
      "...",
      "a: b",
      "a #b",
      "#a",
      "'",
      "\"",
      "it's",
      "\"q\"",
      "\\",
      "a\\nb",
      "a\nb",
      "a\n\nb\n",
      "\n",
      "\t",
      "a\tb",
      "\r\n",
      "[a]",
      "{a}",
      "a, b",
      "&a",
      "*a",
      "!a",
      "|",
      ">",
      "%a",
      "@a",
      "`a",
      "? a",
      ":",
      "<<",
      "=",
      "0x1F",
      "1_000",
      "1:30",
      "2020-01-01",
      ".5",
      ".inf",
      "nan",
      "1e3",
      "é",
      "größer",
      "\U0001F50A loud",
      "\u00A0",
      "\u0085",
      "\u2028",
      "\uFEFFa",
      "日本語",
      "1.0 m",
      "a  b",
      "end:",
      std::string(2000, 'x'),
      std::string(300, ' ') + "x",
      "key: [1, {a: b}] # no",
  };
  std::mt19937 random(3);
  const std::string alphabet = "ab1 .:-#'\"\\\n\t[]{},&*!|>%@`?~=<_";
  for (int round = 0; round < 500; ++round) {
    std::string text;
    for (auto n = random() % 12; n > 0; --n) text += alphabet[random() % alphabet.size()];
    texts.push_back(text);
  }
  Writing writing;
  writing.begin_mapping();
  writing.key("values");
  writing.begin_list(false);
  for (const std::string& text : texts) writing.text(text);
  writing.end_list();
  writing.key("on one line");
  writing.begin_list(true);
  for (const std::string& text : texts) writing.text(text);
  writing.end_list();
  for (std::size_t i = 0; i < texts.size(); ++i) {
    writing.key(texts[i] + "/" + std::to_string(i));
    writing.text(texts[i]);
  }
  writing.end_mapping();
  Faults faults;
  const Node node = parse_document(writing.text_so_far(), "f", faults);
  for (const Fault& fault : faults.faults()) ADD_FAILURE() << to_string(fault);
  ASSERT_EQ(node.entries().size(), texts.size() + 2);
  for (std::size_t i = 0; i < texts.size(); ++i) {
    EXPECT_EQ(node.entries()[0].value.items()[i].text(), texts[i]);
    EXPECT_EQ(node.entries()[0].value.items()[i].kind(), NodeKind::scalar) << texts[i];
    EXPECT_EQ(node.entries()[1].value.items()[i].text(), texts[i]);
    EXPECT_EQ(node.entries()[i + 2].key, texts[i] + "/" + std::to_string(i));
    EXPECT_EQ(node.entries()[i + 2].value.text(), texts[i]);
  }
}

// Other readers of YAML take these plain words and numbers for something else than text (YAML 1.1 types at
// yaml.org/type; core schema of YAML 1.2.2, 10.3.2): they must stand in quotes.
TEST(Writing, TextThatLooksLikeAnotherTypeStandsInQuotes) {
  for (const char* text : {"yes", "No", "on", "y", "null", "~", "true", "1.0", "1", "0x1F", "1e3", ".inf",
                           "1:30", "2020-01-01", "<<", "=", ""}) {
    Writing writing;
    writing.text(text);
    EXPECT_EQ(writing.text_so_far(), "\"" + std::string(text) + "\"\n");
  }
  for (const char* text :
       {"-3 dB", "62 Hz", "0.0098 m3", "8000 Pa.s/m2", "front_left", "dash.top", "spare wheel"}) {
    Writing writing;
    writing.text(text);
    EXPECT_EQ(writing.text_so_far(), std::string(text) + "\n");
  }
}

}  // namespace
}  // namespace cabinfield
