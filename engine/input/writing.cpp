#include "input/writing.h"

#include <yaml-cpp/emitter.h>
#include <yaml-cpp/emittermanip.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

namespace cabinfield {
namespace {

// Words that some YAML readers take for a truth value or for nothing (YAML 1.1 types,
// yaml.org/type/bool.html).
constexpr std::array reserved = {"y", "n", "yes", "no", "true", "false", "on", "off", "null"};

bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }
bool is_digit(char c) { return c >= '0' && c <= '9'; }

std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  return out;
}

// As the reader takes a bare number.
bool is_number(std::string_view text) {
  if (text.starts_with('+')) text.remove_prefix(1);
  double value = 0;
  const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), value);
  return status == std::errc{} && end == text.data() + text.size() && std::isfinite(value);
}

// Text that no reader can take for anything but itself: words, or a number followed by its unit.
bool needs_no_quotes(std::string_view text) {
  if (text.empty() || text.back() == ' ') return false;
  const bool is_word = is_letter(text[0]);
  const bool is_quantity = (is_digit(text[0]) || (text[0] == '-' && text.size() > 1 && is_digit(text[1]))) &&
                           text.find(' ') != std::string_view::npos;
  if (!is_word && !is_quantity) return false;
  for (char c : text)
    if (!is_letter(c) && !is_digit(c) && std::string_view(" _-./%+").find(c) == std::string_view::npos)
      return false;
  return std::find(reserved.begin(), reserved.end(), lower(text)) == reserved.end();
}

}  // namespace

struct Writing::State {
  YAML::Emitter emitter;
  double length_unit_m = 1;

  void scalar(std::string_view text) {
    if (!needs_no_quotes(text)) emitter << YAML::DoubleQuoted;
    emitter << std::string(text);
  }
};

Writing::Writing(double length_unit_m) : state_(std::make_unique<State>()) {
  state_->emitter.SetIndent(2);
  state_->length_unit_m = length_unit_m;
}
Writing::~Writing() = default;

void Writing::begin_mapping(bool on_one_line) {
  if (on_one_line) state_->emitter << YAML::Flow;
  state_->emitter << YAML::BeginMap;
}
void Writing::key(std::string_view name) {
  state_->emitter << YAML::Key;
  state_->scalar(name);
  state_->emitter << YAML::Value;
}
void Writing::key_as_it_stood(std::string_view name) {
  state_->emitter << YAML::Key;
  unquoted(name);
  state_->emitter << YAML::Value;
}
void Writing::end_mapping() { state_->emitter << YAML::EndMap; }

void Writing::begin_list(bool on_one_line) {
  if (on_one_line) state_->emitter << YAML::Flow;
  state_->emitter << YAML::BeginSeq;
}
void Writing::end_list() { state_->emitter << YAML::EndSeq; }

void Writing::text(std::string_view text) { state_->scalar(text); }

void Writing::number(double value) {
  char text[32];
  state_->emitter << std::string(text, std::to_chars(text, text + sizeof text, value).ptr);
}
void Writing::coordinate(double metres) {
  const double unit_m = state_->length_unit_m;
  double value = metres / unit_m;
  // A division and the reader's product round: the neighbour that comes back, where there is one.
  for (const double near : {std::nextafter(value, -HUGE_VAL), std::nextafter(value, HUGE_VAL)})
    if (value * unit_m != metres && near * unit_m == metres) value = near;
  number(value);
}
void Writing::integer(int value) { state_->emitter << std::to_string(value); }
void Writing::yes_or_no(bool value) { state_->emitter << (value ? "yes" : "no"); }

void Writing::unquoted(std::string_view text) {
  // All but the word that stands for nothing here too.
  const bool is_word =
      std::find(reserved.begin(), reserved.end(), lower(text)) != reserved.end() && lower(text) != "null";
  if (is_word || is_number(text)) {
    state_->emitter << std::string(text);
  } else {
    state_->scalar(text);
  }
}
void Writing::text_in_quotes(std::string_view text) {
  // What cannot be taken for a number needs none.
  if (!is_number(text)) return this->text(text);
  state_->emitter << YAML::DoubleQuoted << std::string(text);
}
void Writing::nothing() { state_->emitter << YAML::Null; }

std::string Writing::text_so_far() const { return std::string(state_->emitter.c_str()) + "\n"; }

}  // namespace cabinfield
