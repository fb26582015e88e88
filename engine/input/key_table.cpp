#include "input/key_table.h"

#include <algorithm>
#include <utility>

#include "base/nearest_name.h"
#include "base/quoted.h"
#include "input/json_schema.h"

namespace cabinfield {
namespace {

void* at_offset(void* whole, std::size_t offset) { return static_cast<char*>(whole) + offset; }
const void* at_offset(const void* whole, std::size_t offset) {
  return static_cast<const char*>(whole) + offset;
}

/// A spec within another.
class MappingAccess final : public ValueAccess {
 public:
  MappingAccess(const KeyTable& keys, std::string_view noun) : keys_(keys), noun_(noun) {}

  bool read(void* spec, const Node& node, Reading& reading) const override {
    if (node.kind() != NodeKind::mapping) {
      reading.wrong_kind(node, "a mapping of " + joined_by_commas(keys_.names()));
      return false;
    }
    ReadingScope scope(reading);
    scope.enter_spec(node, noun_);
    keys_.read_into(spec, node, reading);
    return true;
  }

  void write(const void* spec, Writing& writing) const override { keys_.write_from(spec, writing); }
  void visit_geometry(void* spec, GeometryVisitor& visitor) const override {
    keys_.visit_geometry_of(spec, visitor);
  }

 private:
  KeyTable keys_;
  std::string noun_;
};

}  // namespace

KeyTable::KeyTable(const void* fresh, const Given& given)
    : fresh_(fresh), given_offset_(keys_detail::offset_in(fresh, &given)) {}
KeyTable::KeyTable(const KeyTable&) = default;
KeyTable::KeyTable(KeyTable&&) noexcept = default;
KeyTable& KeyTable::operator=(const KeyTable&) = default;
KeyTable& KeyTable::operator=(KeyTable&&) noexcept = default;
KeyTable::~KeyTable() = default;

Given& KeyTable::given_of(void* spec) const { return *static_cast<Given*>(at_offset(spec, given_offset_)); }
const Given& KeyTable::given_of(const void* spec) const {
  return *static_cast<const Given*>(at_offset(spec, given_offset_));
}

void KeyTable::add_member(const char* key, std::size_t offset, const MemberOperations& operations,
                          const UntypedKind& kind, const char* help) {
  keys_.push_back(
      {{key, kind.words, help, false, true, kind.schema}, offset, &operations, kind.access, kind.inside});
}

void KeyTable::add_part_of(std::size_t offset, const KeyTable& keys, const std::vector<std::string>& except) {
  for (Key key : keys.keys_) {
    if (std::find(except.begin(), except.end(), key.line.key) != except.end()) continue;
    key.offset += offset;
    keys_.push_back(std::move(key));
  }
}

void KeyTable::last_is_required() { keys_.back().line.required = true; }

void KeyTable::add_unsupported(std::string key, std::string why) {
  Key entry;
  entry.line = {std::move(key), "", std::move(why), false, false};
  keys_.push_back(std::move(entry));
}

const KeyTable::Key* KeyTable::find(const std::string& name) const {
  for (const Key& key : keys_)
    if (key.line.key == name) return &key;
  return nullptr;
}

void KeyTable::read_into(void* spec, const Node& node, Reading& reading) const {
  Given& given = given_of(spec);
  given.location = node.location();
  if (node.kind() != NodeKind::mapping) {
    reading.wrong_kind(node, "a mapping of " + joined_by_commas(names()));
    return;
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
      key->operations->read(at_offset(spec, key->offset), *key->access, entry.value, reading);
    }
    if (reading.faults.times_added() > faults_before) given.at_fault.insert(entry.key);
  }
  for (const Key& key : keys_) {
    if (!key.line.required || given.has(key.line.key)) continue;
    reading.missing_key(node.location(), key.line.key, key.line.words);
    given.at_fault.insert(key.line.key);
  }
}

void KeyTable::write_from(const void* spec, Writing& writing) const {
  const Given& given = given_of(spec);
  writing.begin_mapping();
  for (const Key& key : keys_) {
    if (!key.line.supported) continue;
    const void* member = at_offset(spec, key.offset);
    if (!given.has(key.line.key) && !key.operations->holds_something(member, at_offset(fresh_, key.offset)))
      continue;
    const void* value = key.operations->held(member);
    if (value == nullptr) continue;  // given, but at fault
    writing.key(key.line.key);
    key.access->write(value, writing);
  }
  writing.end_mapping();
}

void KeyTable::fill_from(void* spec, const void* from) const {
  Given& given = given_of(spec);
  const Given& given_there = given_of(from);
  for (const Key& key : keys_) {
    if (!key.line.supported || given.has(key.line.key) || !given_there.has(key.line.key)) continue;
    key.operations->copy(at_offset(spec, key.offset), at_offset(from, key.offset));
    given.keys[key.line.key] = given_there.at(key.line.key);
    if (!given_there.sound(key.line.key)) given.at_fault.insert(key.line.key);
  }
}

void KeyTable::visit_geometry_of(void* spec, GeometryVisitor& visitor) const {
  for (const Key& key : keys_) {
    if (!key.line.supported || !key.inside) continue;
    const void* value = key.operations->held(at_offset(spec, key.offset));
    if (value != nullptr) key.access->visit_geometry(const_cast<void*>(value), visitor);
  }
}

std::vector<std::string> KeyTable::names() const {
  std::vector<std::string> list;
  for (const Key& key : keys_) list.push_back(key.line.key);
  return list;
}

std::vector<KeyLine> KeyTable::lines() const {
  std::vector<KeyLine> list;
  for (const Key& key : keys_) list.push_back(key.line);
  return list;
}

KeyTreePointer KeyTable::tree() const {
  KeyTree tree;
  for (const Key& key : keys_)
    if (key.line.supported) tree.keys.emplace_back(key.line.key, key.inside);
  return std::make_shared<const KeyTree>(std::move(tree));
}

namespace keys_detail {

std::size_t offset_in(const void* whole, const void* part) {
  return static_cast<std::size_t>(static_cast<const char*>(part) - static_cast<const char*>(whole));
}

UntypedKind mapping_kind(const KeyTable& keys, std::string_view noun) {
  return {std::make_shared<const MappingAccess>(keys, noun),
          "a mapping of " + joined_by_commas(keys.names()),
          {NodeKind::mapping},
          object_schema(keys.lines()),
          keys.tree()};
}

std::string written(const KeyTable& keys, const void* spec, double length_unit_m) {
  Writing writing(length_unit_m);
  keys.write_from(spec, writing);
  return writing.text_so_far();
}

}  // namespace keys_detail
}  // namespace cabinfield
