// Declared keys: each spec names its keys once (name, member, kind, help). Reading, faults with near matches,
// writing back, and the key reference all come from that. Adding a key is one line:
//
//   Keys<DriverSpec>().add("setback", &DriverSpec::setback_m, quantity(Quantity::length, {0, 0.3}), "behind
//   the surface")
//
// Kinds of values stand in keys_values.h (scalars, points) and keys_containers.h (lists, names, choices,
// nesting).
#pragma once

#include <algorithm>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <type_traits>
#include <utility>
#include <vector>

#include "base/nearest_name.h"
#include "input/json_schema.h"
#include "input/keys_containers.h"
#include "input/keys_values.h"
#include "input/writing.h"
#include "scene/given.h"

namespace cabinfield {

/// One key as the reference lists it.
struct KeyLine {
  std::string key;
  std::string words;
  std::string help;
  bool required = false;
  bool supported = true;
  std::string schema = "{}";  ///< of its value
};

/// The keys of one spec (a struct deriving from Given).
template <typename Spec>
class Keys {
 public:
  static_assert(std::is_base_of_v<Given, Spec>);

  /// A key held in `member` of Spec or of a base of it: T, or std::optional<T> where its absence means
  /// something.
  template <typename Member, typename Owner, typename T>
  Keys& add(std::string key, Member Owner::*member, ValueKind<T> kind, std::string help);

  /// Every key of a part that stands beside this spec's own in the file, those named excepted.
  template <typename Part>
  Keys& add_part(Part Spec::*part, const Keys<Part>& keys, const std::vector<std::string>& except = {});

  /// The last added key must be there.
  Keys& required();

  /// A key that has no support yet: a fault "'amplifiers' is not supported yet: WHY".
  Keys& not_yet(std::string key, std::string why);

  /// Reads a mapping: unknown keys are faults with the nearest known key, which is then not called missing.
  /// Always returns what could be read; `keys` of the spec hold every known key that was there, also one
  /// whose value was at fault or that was misspelt, and `at_fault` those that no check need look at again.
  Spec read(const Node& node, Reading& reading) const;

  /// Writes a mapping of the keys that were given, and of those never given that differ from a fresh Spec: an
  /// optional that holds a value, a text or list that is not empty, a number or choice other than the
  /// default.
  void write(const Spec& spec, Writing& writing) const;

  /// Copies into `spec` each key that it was not given and `from` was.
  void fill(Spec& spec, const Spec& from) const;

  std::vector<std::string> names() const;
  std::vector<KeyLine> lines() const;
  /// What a path can enter.
  KeyTreePointer tree() const;

 private:
  template <typename Other>
  friend class Keys;
  struct Key {
    KeyLine line;
    std::function<void(Spec&, const Node&, Reading&)> read;
    std::function<void(const Spec&, Writing&)> write;  // key and value
    std::function<bool(const Spec&)> holds_something;
    std::function<void(Spec&, const Spec&)> copy;
    KeyTreePointer inside;
  };
  const Key* find(const std::string& name) const;

  std::vector<Key> keys_;
};

/// A nested spec; `noun` names it in messages ("driver"), the key does where it is empty.
template <typename Spec>
ValueKind<Spec> mapping(const Keys<Spec>& keys, std::string noun = "");

/// The whole of a file or of a text built from a spec; bare positions in that unit.
template <typename Spec>
std::string written(const Keys<Spec>& keys, const Spec& spec, double length_unit_m = 1);

/// Plain text, one key a line: key, kind in words, help, "required" or "not yet".
std::string key_reference(const std::vector<KeyLine>& lines);
template <typename Spec>
std::string key_reference(const Keys<Spec>& keys) {
  return key_reference(keys.lines());
}

// --- Implementation --------------------------------------------------------------------------------------

namespace keys_detail {

template <typename Member>
bool holds_something(const Member& value, const Member& fresh) {
  if constexpr (requires { value.has_value(); }) {
    return value.has_value();
  } else if constexpr (requires { value.empty(); }) {
    return !value.empty();
  } else if constexpr (std::is_arithmetic_v<Member> || std::is_enum_v<Member>) {
    return value != fresh;
  } else {
    return false;
  }
}

template <typename T, typename Member>
const T* held(const Member& member) {
  if constexpr (std::is_same_v<T, Member>) {
    return &member;
  } else {
    return member ? &*member : nullptr;
  }
}

}  // namespace keys_detail

template <typename Spec>
template <typename Member, typename Owner, typename T>
Keys<Spec>& Keys<Spec>::add(std::string key, Member Owner::*member, ValueKind<T> kind, std::string help) {
  static_assert(std::is_base_of_v<Owner, Spec>, "the member belongs to another spec");
  static_assert(std::is_same_v<Member, T> || std::is_same_v<Member, std::optional<T>>,
                "the member is of another type than the kind reads");
  Key entry;
  entry.line = {std::move(key), kind.words, std::move(help), false, true, kind.schema};
  entry.read = [member, read = kind.read](Spec& spec, const Node& node, Reading& reading) {
    if (std::optional<T> value = read(node, reading)) spec.*member = std::move(*value);
  };
  entry.write = [member, name = entry.line.key, write = kind.write](const Spec& spec, Writing& writing) {
    const T* value = keys_detail::held<T>(spec.*member);
    if (value == nullptr) return;  // given, but at fault
    writing.key(name);
    write(*value, writing);
  };
  entry.holds_something = [member](const Spec& spec) {
    return keys_detail::holds_something(spec.*member, Spec{}.*member);
  };
  entry.copy = [member](Spec& spec, const Spec& from) { spec.*member = from.*member; };
  entry.inside = kind.inside;
  keys_.push_back(std::move(entry));
  return *this;
}

template <typename Spec>
template <typename Part>
Keys<Spec>& Keys<Spec>::add_part(Part Spec::*part, const Keys<Part>& keys,
                                 const std::vector<std::string>& except) {
  for (const auto& key : keys.keys_) {
    if (std::find(except.begin(), except.end(), key.line.key) != except.end()) continue;
    Key entry;
    entry.line = key.line;
    entry.read = [part, read = key.read](Spec& spec, const Node& node, Reading& reading) {
      read(spec.*part, node, reading);
    };
    entry.write = [part, write = key.write](const Spec& spec, Writing& writing) {
      write(spec.*part, writing);
    };
    entry.holds_something = [part, holds = key.holds_something](const Spec& spec) {
      return holds(spec.*part);
    };
    entry.copy = [part, copy = key.copy](Spec& spec, const Spec& from) { copy(spec.*part, from.*part); };
    entry.inside = key.inside;
    keys_.push_back(std::move(entry));
  }
  return *this;
}

template <typename Spec>
Keys<Spec>& Keys<Spec>::required() {
  keys_.back().line.required = true;
  return *this;
}

template <typename Spec>
Keys<Spec>& Keys<Spec>::not_yet(std::string key, std::string why) {
  Key entry;
  entry.line = {std::move(key), "", std::move(why), false, false};
  keys_.push_back(std::move(entry));
  return *this;
}

template <typename Spec>
const typename Keys<Spec>::Key* Keys<Spec>::find(const std::string& name) const {
  for (const Key& key : keys_)
    if (key.line.key == name) return &key;
  return nullptr;
}

template <typename Spec>
Spec Keys<Spec>::read(const Node& node, Reading& reading) const {
  Spec spec{};
  Given& given = spec;  // whose members a spec may hide by keys of the same name, such as `at`
  given.location = node.location();
  if (node.kind() != NodeKind::mapping) {
    reading.wrong_kind(node, "a mapping of " + joined_by_commas(names()));
    return spec;
  }
  for (const Entry& entry : node.entries()) {
    const Key* key = find(entry.key);
    if (key == nullptr) {
      reading.unknown_key(entry, names());
      const std::string meant = nearest_name(entry.key, names());
      if (!meant.empty()) {
        given.keys.emplace(meant, entry.key_location);
        given.at_fault.insert(meant);
      }
      continue;
    }
    ReadingScope scope(reading);
    scope.enter_key(entry.key);
    given.keys[entry.key] = entry.value.location();
    const std::size_t faults_before = reading.faults.times_added();
    if (!key->line.supported) {
      reading.fault(entry.key_location, "is not supported yet: " + key->line.help, FaultCode::unsupported);
    } else if (entry.value.kind() == NodeKind::null) {
      reading.wrong_kind(entry.value, key->line.words);
    } else {
      key->read(spec, entry.value, reading);
    }
    if (reading.faults.times_added() > faults_before) given.at_fault.insert(entry.key);
  }
  for (const Key& key : keys_) {
    if (!key.line.required || given.has(key.line.key)) continue;
    reading.missing_key(node.location(), key.line.key, key.line.words);
    given.at_fault.insert(key.line.key);
  }
  return spec;
}

template <typename Spec>
void Keys<Spec>::write(const Spec& spec, Writing& writing) const {
  const Given& given = spec;
  writing.begin_mapping();
  for (const Key& key : keys_) {
    if (!key.line.supported) continue;
    if (given.has(key.line.key) || key.holds_something(spec)) key.write(spec, writing);
  }
  writing.end_mapping();
}

template <typename Spec>
void Keys<Spec>::fill(Spec& spec, const Spec& from) const {
  Given& given = spec;
  const Given& given_there = from;
  for (const Key& key : keys_) {
    if (!key.line.supported || given.has(key.line.key) || !given_there.has(key.line.key)) continue;
    key.copy(spec, from);
    given.keys[key.line.key] = given_there.at(key.line.key);
    if (!given_there.sound(key.line.key)) given.at_fault.insert(key.line.key);
  }
}

template <typename Spec>
std::vector<std::string> Keys<Spec>::names() const {
  std::vector<std::string> list;
  for (const Key& key : keys_) list.push_back(key.line.key);
  return list;
}

template <typename Spec>
std::vector<KeyLine> Keys<Spec>::lines() const {
  std::vector<KeyLine> list;
  for (const Key& key : keys_) list.push_back(key.line);
  return list;
}

template <typename Spec>
KeyTreePointer Keys<Spec>::tree() const {
  KeyTree tree;
  for (const Key& key : keys_)
    if (key.line.supported) tree.keys.emplace_back(key.line.key, key.inside);
  return std::make_shared<const KeyTree>(std::move(tree));
}

template <typename Spec>
ValueKind<Spec> mapping(const Keys<Spec>& keys, std::string noun) {
  auto shared = std::make_shared<const Keys<Spec>>(keys);
  ValueKind<Spec> kind;
  kind.read = [shared, noun](const Node& node, Reading& reading) -> std::optional<Spec> {
    if (node.kind() != NodeKind::mapping) {
      reading.wrong_kind(node, "a mapping of " + joined_by_commas(shared->names()));
      return std::nullopt;
    }
    ReadingScope scope(reading);
    scope.enter_spec(node, noun);
    return shared->read(node, reading);
  };
  kind.write = [shared](const Spec& spec, Writing& writing) { shared->write(spec, writing); };
  kind.words = "a mapping of " + joined_by_commas(keys.names());
  kind.forms = {NodeKind::mapping};
  kind.schema = object_schema(keys.lines());
  kind.inside = keys.tree();
  return kind;
}

template <typename Spec>
std::string written(const Keys<Spec>& keys, const Spec& spec, double length_unit_m) {
  Writing writing(length_unit_m);
  keys.write(spec, writing);
  return writing.text_so_far();
}

}  // namespace cabinfield
