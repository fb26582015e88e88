// The keys of a spec whose type only the declarations know: all that reading and writing a mapping is,
// compiled once for every spec. Declared through Keys<Spec> (keys.h).
#pragma once

#include <cstddef>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "input/json_schema.h"
#include "input/keys_values.h"
#include "scene/given.h"

namespace cabinfield {

/// One key as the reference lists it.
struct KeyLine {
  std::string key;
  std::string words;
  std::string help;
  bool required = false;
  bool supported = true;
  JsonSchema schema = {};  ///< of its value
};

/// How a member of a spec takes and gives a value of its kind.
struct MemberOperations {
  /// After a fault an optional member is empty, any other as it was.
  void (*read)(void* member, const ValueAccess& access, const Node& node, Reading& reading);
  const void* (*held)(const void* member);  ///< the value; null where the member is an empty optional
  /// An optional that holds a value, a text or list that is not empty, a number or choice other than the one
  /// in a fresh spec.
  bool (*holds_something)(const void* member, const void* fresh);
  void (*copy)(void* member,
               const void* from);  ///< null where specs of the type are never filled from others
};

/// Pointers to specs are to those of one type.
class KeyTable {
 public:
  /// `fresh` is a spec as its default constructor makes it, kept alive by the caller, and `given` its base.
  KeyTable(const void* fresh, const Given& given);
  KeyTable(const KeyTable&);
  KeyTable(KeyTable&&) noexcept;
  KeyTable& operator=(const KeyTable&);
  KeyTable& operator=(KeyTable&&) noexcept;
  ~KeyTable();

  void add_member(const char* key, std::size_t offset, const MemberOperations& operations,
                  const UntypedKind& kind, const char* help);
  void add_part_of(std::size_t offset, const KeyTable& keys, const std::vector<std::string>& except);
  void last_is_required();
  void add_unsupported(std::string key, std::string why);

  void read_into(void* spec, const Node& node, Reading& reading) const;
  void write_from(const void* spec, Writing& writing) const;
  void fill_from(void* spec, const void* from) const;
  void visit_geometry_of(void* spec, GeometryVisitor& visitor) const;

  std::vector<std::string> names() const;
  std::vector<KeyLine> lines() const;
  /// What a path can enter.
  KeyTreePointer tree() const;

 private:
  struct Key {
    KeyLine line;
    std::size_t offset = 0;  ///< of the member in the spec, bytes
    const MemberOperations* operations = nullptr;
    std::shared_ptr<const ValueAccess> access;
    KeyTreePointer inside;
  };
  const Key* find(const std::string& name) const;
  Given& given_of(void* spec) const;
  const Given& given_of(const void* spec) const;

  const void* fresh_;
  std::size_t given_offset_;
  std::vector<Key> keys_;
};

namespace keys_detail {

/// Bytes from a whole to a part of it.
std::size_t offset_in(const void* whole, const void* part);
UntypedKind mapping_kind(const KeyTable& keys, std::string_view noun);
std::string written(const KeyTable& keys, const void* spec, double length_unit_m);

}  // namespace keys_detail

/// Plain text, one key a line: key, kind in words, help, "required" or "not yet".
std::string key_reference(const std::vector<KeyLine>& lines);

}  // namespace cabinfield
