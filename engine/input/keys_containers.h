// Kinds of values built from others: with places, choices by name, lists, mappings from names, tables,
// alternatives. How they are read is in keys_containers.cpp; what depends on the type of the value is here.
#pragma once

#include <concepts>
#include <initializer_list>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "input/json_schema.h"
#include "input/keys_values.h"
#include "scene/given.h"

namespace cabinfield {

/// Same kind, keeping each value's place.
template <typename T>
ValueKind<Located<T>> located(const ValueKind<T>& kind);

/// One of several names, each standing for a value; names in the order of the list.
template <typename T>
ValueKind<T> choice(std::initializer_list<std::pair<std::string_view, T>> names);
template <typename T>
ValueKind<T> choice_of(const std::vector<std::pair<std::string, T>>& names);

/// A list; empty (with faults) where any item failed.
template <typename T>
ValueKind<std::vector<T>> list_of(const ValueKind<T>& kind, int least = 0, int greatest = 10000);

/// A list of two, the second of another kind, e.g. [100 Hz, 82 dB]; empty where either failed.
template <typename First, typename Second>
ValueKind<std::pair<First, Second>> pair_of(const ValueKind<First>& first, const ValueKind<Second>& second);

/// A mapping from names of our own making to values, in file order. An entry whose value failed stays, marked
/// as broken, since its name is known; one whose name failed is left out.
template <typename T>
ValueKind<std::vector<Named<T>>> named(const ValueKind<T>& kind);

/// A mapping from quantities to values, in file order, e.g. {125 Hz: 0.08, 250 Hz: 0.24}; empty where any
/// entry failed. The same quantity twice in other words (1 kHz, 1000 Hz) is a fault.
template <typename T>
ValueKind<std::vector<std::pair<double, T>>> table_over(Quantity quantity_kind, Range range,
                                                        const ValueKind<T>& kind);

/// Either of two kinds, told apart by the kind of node (a word or a mapping, a number or a list, …).
template <typename First, typename Second>
ValueKind<std::variant<First, Second>> either(const ValueKind<First>& first, const ValueKind<Second>& second);

/// A kind read and written as another one: `make` from what is read, `take` back for writing.
template <typename T, typename Held, std::invocable<Held> Make, std::invocable<const T&> Take>
ValueKind<T> converted(const ValueKind<Held>& kind, Make make, Take take);

// --- Implementation --------------------------------------------------------------------------------------

namespace keys_detail {

KeyTreePointer tree_of(KeyTree::Form form, KeyTreePointer each);

/// Of a value of either kind; the second's form comes first.
KeyTreePointer either_tree(const KeyTreePointer& first, const KeyTreePointer& second);

/// "3 items, expected 1 or 2": what is wrong with the length of a list, or empty.
std::string count_error(std::size_t count, int least, int greatest);
std::string count_noun(std::size_t count);  // "3 items"
std::string count_words(int least, int greatest);

/// A kind that `access` reads and writes, otherwise described as `kind` is.
UntypedKind same_words(const UntypedKind& kind, std::shared_ptr<const ValueAccess> access);

template <typename T>
class LocatedAccess final : public ValueAccess {
 public:
  explicit LocatedAccess(std::shared_ptr<const ValueAccess> inner) : inner_(std::move(inner)) {}
  bool read(void* value, const Node& node, Reading& reading) const override {
    auto* place = static_cast<Located<T>*>(value);
    place->location = node.location();
    return inner_->read(&place->value, node, reading);
  }
  void write(const void* value, Writing& writing) const override {
    inner_->write(&static_cast<const Located<T>*>(value)->value, writing);
  }
  void visit_geometry(void* value, GeometryVisitor& visitor) const override {
    inner_->visit_geometry(&static_cast<Located<T>*>(value)->value, visitor);
  }

 private:
  std::shared_ptr<const ValueAccess> inner_;
};

/// A choice by the position of its name in the list.
class ChoiceAccess : public ValueAccess {
 public:
  explicit ChoiceAccess(std::vector<std::string> names);
  ~ChoiceAccess() override;
  UntypedKind kind(std::shared_ptr<const ValueAccess> self) const;

 protected:
  std::optional<std::size_t> chosen(const Node& node, Reading& reading) const;
  void write_name(std::optional<std::size_t> position, Writing& writing) const;

 private:
  std::vector<std::string> names_;
  std::string words_;
};

template <typename T>
class ChoiceOf final : public ChoiceAccess {
 public:
  ChoiceOf(std::vector<std::string> names, std::vector<T> values)
      : ChoiceAccess(std::move(names)), values_(std::move(values)) {}
  bool read(void* value, const Node& node, Reading& reading) const override {
    const std::optional<std::size_t> position = chosen(node, reading);
    if (position) *static_cast<T*>(value) = values_[*position];
    return position.has_value();
  }
  void write(const void* value, Writing& writing) const override {
    for (std::size_t i = 0; i < values_.size(); ++i)
      if (values_[i] == *static_cast<const T*>(value)) return write_name(i, writing);
    write_name(std::nullopt, writing);
  }

 private:
  std::vector<T> values_;
};

template <typename T, typename Names>
ValueKind<T> choice_from(const Names& names) {
  std::vector<std::string> known;
  std::vector<T> values;
  for (const auto& [name, value] : names) {
    known.emplace_back(name);
    values.push_back(value);
  }
  auto access = std::make_shared<const ChoiceOf<T>>(std::move(known), std::move(values));
  return ValueKind<T>(access->kind(access));
}

/// A std::vector<T> behind a pointer.
struct ListOperations {
  void* (*append)(void* list);  ///< a fresh value at its end
  std::size_t (*size)(const void* list);
  const void* (*value)(const void* list, std::size_t index);
};
template <typename T>
struct ListOf {
  using List = std::vector<T>;
  static void* append(void* list) { return &static_cast<List*>(list)->emplace_back(); }
  static std::size_t size(const void* list) { return static_cast<const List*>(list)->size(); }
  static const void* value(const void* list, std::size_t i) { return &(*static_cast<const List*>(list))[i]; }
  static constexpr ListOperations operations{append, size, value};
};
UntypedKind list_kind(const UntypedKind& items, const ListOperations& operations, int least, int greatest);

/// A std::vector<Named<T>> behind a pointer.
struct NamedOperations {
  void* (*append)(void* list, const std::string& name, const SourceLocation& location);  ///< a fresh value
  void (*remove_last)(void* list);
  void (*break_last)(void* list);  ///< its value is at fault: a fresh one again, marked
  std::size_t (*size)(const void* list);
  const std::string& (*name)(const void* list, std::size_t index);
  const void* (*value)(const void* list, std::size_t index);
};
template <typename T>
struct NamedOf {
  using List = std::vector<Named<T>>;
  static void* append(void* list, const std::string& name, const SourceLocation& location) {
    Named<T>& entry = static_cast<List*>(list)->emplace_back();
    entry.name = name;
    entry.location = location;
    return &entry.value;
  }
  static void remove_last(void* list) { static_cast<List*>(list)->pop_back(); }
  static void break_last(void* list) {
    Named<T>& entry = static_cast<List*>(list)->back();
    const std::string name = entry.name;
    const SourceLocation location = entry.location;
    remove_last(list);
    append(list, name, location);
    static_cast<List*>(list)->back().broken = true;
  }
  static std::size_t size(const void* list) { return static_cast<const List*>(list)->size(); }
  static const Named<T>& entry(const void* list, std::size_t i) {
    return (*static_cast<const List*>(list))[i];
  }
  static const std::string& name(const void* list, std::size_t i) { return entry(list, i).name; }
  static const void* value(const void* list, std::size_t i) { return &entry(list, i).value; }
  static constexpr NamedOperations operations{append, remove_last, break_last, size, name, value};
};
UntypedKind named_kind(const UntypedKind& values, const NamedOperations& operations);

/// A std::vector<std::pair<double, T>> behind a pointer.
struct TableOperations {
  void* (*append)(void* rows, double at);  ///< a fresh value
  void (*remove_last)(void* rows);
  std::size_t (*size)(const void* rows);
  double (*at)(const void* rows, std::size_t index);
  const void* (*value)(const void* rows, std::size_t index);
};
template <typename T>
struct TableOf {
  using Rows = std::vector<std::pair<double, T>>;
  static void* append(void* rows, double at) {
    return &static_cast<Rows*>(rows)->emplace_back(at, T{}).second;
  }
  static void remove_last(void* rows) { static_cast<Rows*>(rows)->pop_back(); }
  static std::size_t size(const void* rows) { return static_cast<const Rows*>(rows)->size(); }
  static double at(const void* rows, std::size_t i) { return (*static_cast<const Rows*>(rows))[i].first; }
  static const void* value(const void* rows, std::size_t i) {
    return &(*static_cast<const Rows*>(rows))[i].second;
  }
  static constexpr TableOperations operations{append, remove_last, size, at, value};
};
UntypedKind table_kind(Quantity quantity_kind, Range range, const UntypedKind& values,
                       const TableOperations& operations);

/// A std::pair<First, Second> behind a pointer.
struct PairOperations {
  void* (*first)(void* pair);
  void* (*second)(void* pair);
};
template <typename First, typename Second>
struct PairOf {
  using Pair = std::pair<First, Second>;
  static void* first(void* pair) { return &static_cast<Pair*>(pair)->first; }
  static void* second(void* pair) { return &static_cast<Pair*>(pair)->second; }
  static constexpr PairOperations operations{first, second};
};
UntypedKind pair_kind(const UntypedKind& first, const UntypedKind& second, const PairOperations& operations);

/// A std::variant<First, Second> behind a pointer.
struct EitherOperations {
  void* (*first)(void* value);  ///< a fresh one, held from now on
  void* (*second)(void* value);
  const void* (*held_first)(const void* value);  ///< null where it holds the second
  const void* (*held_second)(const void* value);
};
template <typename First, typename Second>
struct EitherOf {
  using Value = std::variant<First, Second>;
  static void* first(void* value) { return &static_cast<Value*>(value)->template emplace<0>(); }
  static void* second(void* value) { return &static_cast<Value*>(value)->template emplace<1>(); }
  static const void* held_first(const void* value) {
    return std::get_if<0>(static_cast<const Value*>(value));
  }
  static const void* held_second(const void* value) {
    return std::get_if<1>(static_cast<const Value*>(value));
  }
  static constexpr EitherOperations operations{first, second, held_first, held_second};
};
UntypedKind either_kind(const UntypedKind& first, const UntypedKind& second,
                        const EitherOperations& operations);

template <typename T, typename Held, typename Make, typename Take>
class ConvertedAccess final : public ValueAccess {
 public:
  ConvertedAccess(std::shared_ptr<const ValueAccess> inner, Make make, Take take)
      : inner_(std::move(inner)), make_(std::move(make)), take_(std::move(take)) {}
  bool read(void* value, const Node& node, Reading& reading) const override {
    Held held{};
    if (!inner_->read(&held, node, reading)) return false;
    *static_cast<T*>(value) = make_(std::move(held));
    return true;
  }
  void write(const void* value, Writing& writing) const override {
    const Held held = take_(*static_cast<const T*>(value));
    inner_->write(&held, writing);
  }

 private:
  std::shared_ptr<const ValueAccess> inner_;
  Make make_;
  Take take_;
};

}  // namespace keys_detail

template <typename T>
ValueKind<Located<T>> located(const ValueKind<T>& kind) {
  return ValueKind<Located<T>>(
      keys_detail::same_words(kind, std::make_shared<const keys_detail::LocatedAccess<T>>(kind.access)));
}

template <typename T>
ValueKind<T> choice(std::initializer_list<std::pair<std::string_view, T>> names) {
  return keys_detail::choice_from<T>(names);
}
template <typename T>
ValueKind<T> choice_of(const std::vector<std::pair<std::string, T>>& names) {
  return keys_detail::choice_from<T>(names);
}

template <typename T>
ValueKind<std::vector<T>> list_of(const ValueKind<T>& kind, int least, int greatest) {
  return ValueKind<std::vector<T>>(
      keys_detail::list_kind(kind, keys_detail::ListOf<T>::operations, least, greatest));
}

template <typename First, typename Second>
ValueKind<std::pair<First, Second>> pair_of(const ValueKind<First>& first, const ValueKind<Second>& second) {
  return ValueKind<std::pair<First, Second>>(
      keys_detail::pair_kind(first, second, keys_detail::PairOf<First, Second>::operations));
}

template <typename T>
ValueKind<std::vector<Named<T>>> named(const ValueKind<T>& kind) {
  return ValueKind<std::vector<Named<T>>>(keys_detail::named_kind(kind, keys_detail::NamedOf<T>::operations));
}

template <typename T>
ValueKind<std::vector<std::pair<double, T>>> table_over(Quantity quantity_kind, Range range,
                                                        const ValueKind<T>& kind) {
  return ValueKind<std::vector<std::pair<double, T>>>(
      keys_detail::table_kind(quantity_kind, range, kind, keys_detail::TableOf<T>::operations));
}

template <typename First, typename Second>
ValueKind<std::variant<First, Second>> either(const ValueKind<First>& first,
                                              const ValueKind<Second>& second) {
  return ValueKind<std::variant<First, Second>>(
      keys_detail::either_kind(first, second, keys_detail::EitherOf<First, Second>::operations));
}

template <typename T, typename Held, std::invocable<Held> Make, std::invocable<const T&> Take>
ValueKind<T> converted(const ValueKind<Held>& kind, Make make, Take take) {
  using Access = keys_detail::ConvertedAccess<T, Held, Make, Take>;
  return ValueKind<T>(keys_detail::same_words(
      kind, std::make_shared<const Access>(kind.access, std::move(make), std::move(take))));
}

}  // namespace cabinfield
