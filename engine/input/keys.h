// Declared keys: each spec names its keys once (name, member, kind, help). Reading, faults with near matches,
// writing back, and the key reference all come from that. Adding a key is one line:
//
//   Keys<DriverSpec>().add("setback", &DriverSpec::setback_m, quantity(Quantity::length, {0, 0.3}), "behind
//   the surface")
//
// Kinds of values are in keys_values.h (scalars, points) and keys_containers.h (lists, names, choices,
// nesting). Specs are declared in some hundred places: what is compiled for each of them is kept to a few
// lines here, and all the rest is in key_table.cpp and keys_containers.cpp.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

#include "input/key_table.h"
#include "input/keys_containers.h"
#include "input/keys_values.h"
#include "input/writing.h"
#include "scene/given.h"

namespace cabinfield {

/// Whether specs of this type are filled from others of it (Keys::fill): specialised beside the declaration
/// of their keys. No code to copy members is compiled for the rest.
template <typename Spec>
inline constexpr bool filled_from_another = false;

/// The keys of one spec (a struct deriving from Given).
template <typename Spec>
class Keys : public KeyTable {
 public:
  static_assert(std::is_base_of_v<Given, Spec>);

  Keys() : KeyTable(&fresh(), fresh()) {}

  /// A key held in `member` of Spec or of a base of it: T, or std::optional<T> where its absence means
  /// something.
  template <typename Member, typename Owner, typename T>
  Keys& add(const char* key, Member Owner::*member, const ValueKind<T>& kind, const char* help);

  /// Every key of a part that stands beside this spec's own in the file, those named excepted.
  template <typename Part>
  Keys& add_part(Part Spec::*part, const Keys<Part>& keys, const std::vector<std::string>& except = {}) {
    add_part_of(keys_detail::offset_in(&fresh(), &(fresh().*part)), keys, except);
    return *this;
  }

  /// The last added key must be there.
  Keys& required() {
    last_is_required();
    return *this;
  }

  /// A key that has no support yet: a fault "'amplifiers' is not supported yet: WHY".
  Keys& not_yet(std::string key, std::string why) {
    add_unsupported(std::move(key), std::move(why));
    return *this;
  }

  /// Reads a mapping: unknown keys are faults with the nearest known key, which is then not called missing.
  /// Always returns what could be read; `keys` of the spec hold every known key that was there, also one
  /// whose value was at fault or that was misspelt, and `at_fault` those that no check need look at again.
  Spec read(const Node& node, Reading& reading) const {
    Spec spec{};
    read_into(&spec, node, reading);
    return spec;
  }

  /// Writes a mapping of the keys that were given, and of those never given that differ from a fresh Spec: an
  /// optional that holds a value, a text or list that is not empty, a number or choice other than the
  /// default.
  void write(const Spec& spec, Writing& writing) const { write_from(&spec, writing); }

  /// Copies into `spec` each key that it was not given and `from` was.
  void fill(Spec& spec, const Spec& from) const {
    static_assert(filled_from_another<Spec>);
    fill_from(&spec, &from);
  }

  /// Shows the visitor all numbers and names of the spec that have a role, given or not.
  void visit_geometry(Spec& spec, GeometryVisitor& visitor) const { visit_geometry_of(&spec, visitor); }

 private:
  static const Spec& fresh() {
    static const Spec spec{};
    return spec;
  }
};

/// A nested spec; `noun` names it in messages ("driver"), the key does where it is empty.
template <typename Spec>
ValueKind<Spec> mapping(const Keys<Spec>& keys, std::string_view noun = "") {
  return ValueKind<Spec>(keys_detail::mapping_kind(keys, noun));
}

/// The whole of a file or of a text built from a spec; bare positions in that unit.
template <typename Spec>
std::string written(const Keys<Spec>& keys, const Spec& spec, double length_unit_m = 1) {
  return keys_detail::written(keys, &spec, length_unit_m);
}

template <typename Spec>
std::string key_reference(const Keys<Spec>& keys) {
  return key_reference(keys.lines());
}

// --- Implementation --------------------------------------------------------------------------------------

namespace keys_detail {

/// A member that holds T, or std::optional<T>.
template <typename Member, typename T>
struct MemberOf {
  static void read(void* member, const ValueAccess& access, const Node& node, Reading& reading) {
    Member& place = *static_cast<Member*>(member);
    if constexpr (std::is_same_v<Member, T>) {
      T value{};
      if (access.read(&value, node, reading)) place = std::move(value);
    } else {
      if (!access.read(&place.emplace(), node, reading)) place.reset();
    }
  }
  static const void* held(const void* member) {
    if constexpr (std::is_same_v<Member, T>) {
      return member;
    } else {
      const Member& optional = *static_cast<const Member*>(member);
      return optional ? &*optional : nullptr;
    }
  }
  static bool holds_something(const void* member, const void* fresh) {
    const Member& value = *static_cast<const Member*>(member);
    if constexpr (requires { value.has_value(); }) {
      return value.has_value();
    } else if constexpr (requires { value.empty(); }) {
      return !value.empty();
    } else if constexpr (std::is_arithmetic_v<Member> || std::is_enum_v<Member>) {
      return value != *static_cast<const Member*>(fresh);
    } else {
      return false;
    }
  }
};

/// `Copied` where specs of the member's type are filled from others.
template <typename Member, typename T, bool Copied>
constexpr MemberOperations member_operations() {
  MemberOperations operations{MemberOf<Member, T>::read, MemberOf<Member, T>::held,
                              MemberOf<Member, T>::holds_something, nullptr};
  if constexpr (Copied)
    operations.copy = [](void* member, const void* from) {
      *static_cast<Member*>(member) = *static_cast<const Member*>(from);
    };
  return operations;
}
template <typename Member, typename T, bool Copied>
inline constexpr MemberOperations operations_of_member = member_operations<Member, T, Copied>();

}  // namespace keys_detail

template <typename Spec>
template <typename Member, typename Owner, typename T>
Keys<Spec>& Keys<Spec>::add(const char* key, Member Owner::*member, const ValueKind<T>& kind,
                            const char* help) {
  static_assert(std::is_base_of_v<Owner, Spec>, "the member belongs to another spec");
  static_assert(std::is_same_v<Member, T> || std::is_same_v<Member, std::optional<T>>,
                "the member is of another type than the kind reads");
  add_member(key, keys_detail::offset_in(&fresh(), &(fresh().*member)),
             keys_detail::operations_of_member<Member, T, filled_from_another<Spec>>, kind, help);
  return *this;
}

}  // namespace cabinfield
