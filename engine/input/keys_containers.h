// Kinds of values built from others: with places, choices by name, lists, mappings from names, tables,
// alternatives.
#pragma once

#include <algorithm>
#include <concepts>
#include <optional>
#include <stdexcept>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "base/nearest_name.h"
#include "base/quoted.h"
#include "input/json_schema.h"
#include "input/keys_values.h"
#include "scene/given.h"

namespace cabinfield {

/// Same kind, keeping each value's place.
template <typename T>
ValueKind<Located<T>> located(ValueKind<T> kind) {
  return {[read = kind.read](const Node& node, Reading& reading) -> std::optional<Located<T>> {
            std::optional<T> value = read(node, reading);
            if (!value) return std::nullopt;
            return Located<T>{std::move(*value), node.location()};
          },
          [write = kind.write](const Located<T>& value, Writing& writing) { write(value.value, writing); },
          kind.words,
          kind.forms,
          kind.schema,
          kind.inside};
}

/// One of several names, each standing for a value; names in the order of the list.
template <typename T>
ValueKind<T> choice(std::vector<std::pair<std::string, T>> names) {
  std::vector<std::string> known;
  for (const auto& [name, value] : names) known.push_back(name);
  const std::string words = (known.size() > 1 ? "one of " : "") + joined_by_commas(known);
  return {[names, known, words](const Node& node, Reading& reading) -> std::optional<T> {
            if (node.kind() != NodeKind::scalar) {
              reading.wrong_kind(node, words);
              return std::nullopt;
            }
            for (const auto& [name, value] : names)
              if (name == node.text()) return value;
            const std::string hint = nearest_name_hint(node.text(), known);
            reading.fault(node.location(),
                          cabinfield::quoted(node.text()) + " is not known" + (hint.empty() ? "," : hint) +
                              " expected " + words,
                          FaultCode::unknown_name);
            return std::nullopt;
          },
          [names](const T& wanted, Writing& writing) {
            for (const auto& [name, value] : names)
              if (value == wanted) return writing.text(name);
            throw std::logic_error("no name stands for this choice");
          },
          words,
          {NodeKind::scalar},
          enum_schema(known)};
}

namespace keys_detail {

/// Reads every item, also after one has failed; empty where any has.
template <typename T>
std::optional<std::vector<T>> read_items(const Node& node, Reading& reading, const ValueKind<T>& kind) {
  std::vector<T> values;
  bool complete = true;
  std::size_t position = 0;
  for (const Node& item : node.items()) {
    ReadingScope scope(reading);
    scope.enter_item(++position);
    if (item.kind() == NodeKind::null) reading.wrong_kind(item, kind.words);
    std::optional<T> value = item.kind() == NodeKind::null ? std::nullopt : kind.read(item, reading);
    complete = complete && value.has_value();
    if (value) values.push_back(std::move(*value));
  }
  if (!complete) return std::nullopt;
  return values;
}

inline KeyTreePointer tree_of(KeyTree::Form form, KeyTreePointer each) {
  return std::make_shared<const KeyTree>(KeyTree{form, {}, std::move(each)});
}

/// "3 items, expected 1 or 2": what is wrong with the length of a list, or empty.
std::string count_error(std::size_t count, int least, int greatest);
std::string count_noun(std::size_t count);  // "3 items"
std::string count_words(int least, int greatest);

}  // namespace keys_detail

/// A list; empty (with faults) where any item failed.
template <typename T>
ValueKind<std::vector<T>> list_of(ValueKind<T> kind, int least = 0, int greatest = 10000) {
  const std::string words = "a list" + keys_detail::count_words(least, greatest) + ", each " + kind.words;
  const bool short_items = kind.forms == std::vector<NodeKind>{NodeKind::scalar};
  return {
      [kind, least, greatest, words](const Node& node, Reading& reading) -> std::optional<std::vector<T>> {
        if (node.kind() != NodeKind::sequence) {
          reading.wrong_kind(node, words);
          return std::nullopt;
        }
        std::optional<std::vector<T>> values = keys_detail::read_items(node, reading, kind);
        const std::string wrong = keys_detail::count_error(node.items().size(), least, greatest);
        if (wrong.empty()) return values;
        reading.fault(node.location(), wrong, FaultCode::wrong_count);
        return std::nullopt;
      },
      [write = kind.write, short_items](const std::vector<T>& values, Writing& writing) {
        writing.begin_list(short_items);
        for (const T& value : values) write(value, writing);
        writing.end_list();
      },
      words,
      {NodeKind::sequence},
      array_schema(kind.schema, least, greatest),
      keys_detail::tree_of(KeyTree::Form::list, kind.inside)};
}

/// A list of two, the second of another kind, e.g. [100 Hz, 82 dB]; empty where either failed.
template <typename First, typename Second>
ValueKind<std::pair<First, Second>> pair_of(ValueKind<First> first, ValueKind<Second> second) {
  using Pair = std::pair<First, Second>;
  const std::string words = "[" + first.words + "; " + second.words + "]";
  return {[=](const Node& node, Reading& reading) -> std::optional<Pair> {
            if (node.kind() != NodeKind::sequence) {
              reading.wrong_kind(node, words);
              return std::nullopt;
            }
            if (node.items().size() != 2) {
              reading.fault(node.location(),
                            "has " + keys_detail::count_noun(node.items().size()) + ", expected " + words,
                            FaultCode::wrong_count);
              return std::nullopt;
            }
            auto read_one = [&](const auto& kind, std::size_t item) {
              ReadingScope scope(reading);
              scope.enter_item(item + 1);
              const Node& value = node.items()[item];
              if (value.kind() == NodeKind::null) {
                reading.wrong_kind(value, kind.words);
                return decltype(kind.read(value, reading))();
              }
              return kind.read(value, reading);
            };
            auto a = read_one(first, 0);
            auto b = read_one(second, 1);
            if (!a || !b) return std::nullopt;
            return Pair{std::move(*a), std::move(*b)};
          },
          [write_first = first.write, write_second = second.write](const Pair& value, Writing& writing) {
            writing.begin_list(true);
            write_first(value.first, writing);
            write_second(value.second, writing);
            writing.end_list();
          },
          words,
          {NodeKind::sequence},
          array_schema("[" + first.schema + "," + second.schema + "]", 2, 2)};
}

/// A mapping from names of our own making to values, in file order. An entry whose value failed stays, marked
/// as broken, since its name is known; one whose name failed is left out.
template <typename T>
ValueKind<std::vector<Named<T>>> named(ValueKind<T> kind) {
  const std::string words = "a mapping from names to values, each " + kind.words;
  return {[kind, words](const Node& node, Reading& reading) -> std::optional<std::vector<Named<T>>> {
            if (node.kind() != NodeKind::mapping) {
              reading.wrong_kind(node, words);
              return std::nullopt;
            }
            std::vector<Named<T>> values;
            for (const Entry& entry : node.entries()) {
              const std::string wrong = name_error(entry.key);
              if (!wrong.empty()) reading.fault(entry.key_location, wrong);
              ReadingScope scope(reading);
              scope.enter_name(entry.key);
              std::optional<T> value;
              if (entry.value.kind() == NodeKind::null) {
                reading.wrong_kind(entry.value, kind.words);
              } else {
                value = kind.read(entry.value, reading);
              }
              if (!wrong.empty()) continue;
              const bool broken = !value.has_value();
              values.push_back({entry.key, entry.key_location, value ? std::move(*value) : T{}, broken});
            }
            return values;
          },
          [write = kind.write](const std::vector<Named<T>>& values, Writing& writing) {
            writing.begin_mapping();
            for (const Named<T>& entry : values) {
              writing.key(entry.name);
              write(entry.value, writing);
            }
            writing.end_mapping();
          },
          words,
          {NodeKind::mapping},
          mapping_schema(name_pattern, kind.schema),
          keys_detail::tree_of(KeyTree::Form::names, kind.inside)};
}

/// A mapping from quantities to values, in file order, e.g. {125 Hz: 0.08, 250 Hz: 0.24}; empty where any
/// entry failed. The same quantity twice in other words (1 kHz, 1000 Hz) is a fault.
template <typename T>
ValueKind<std::vector<std::pair<double, T>>> table_over(Quantity quantity_kind, Range range,
                                                        ValueKind<T> kind) {
  using Rows = std::vector<std::pair<double, T>>;
  const std::string words = "a mapping from " + std::string(unit_examples(quantity_kind)) +
                            " and the like to values, each " + kind.words;
  const ValueKind<double> key_kind = quantity(quantity_kind, range);
  return {[=](const Node& node, Reading& reading) -> std::optional<Rows> {
            if (node.kind() != NodeKind::mapping) {
              reading.wrong_kind(node, words);
              return std::nullopt;
            }
            Rows rows;
            bool complete = true;
            for (const Entry& entry : node.entries()) {
              std::optional<double> at = key_kind.read(scalar_node(entry.key, entry.key_location), reading);
              ReadingScope scope(reading);
              scope.enter_name(entry.key);
              const bool repeated = at && std::any_of(rows.begin(), rows.end(),
                                                      [&](const auto& row) { return row.first == *at; });
              if (repeated)
                reading.fault_beyond_schema(entry.key_location, "is given twice", FaultCode::duplicate_name);
              if (entry.value.kind() == NodeKind::null) reading.wrong_kind(entry.value, kind.words);
              std::optional<T> value =
                  entry.value.kind() == NodeKind::null ? std::nullopt : kind.read(entry.value, reading);
              complete = complete && at && value && !repeated;
              if (at && value) rows.emplace_back(*at, std::move(*value));
            }
            if (!complete) return std::nullopt;
            return rows;
          },
          [quantity_kind, write = kind.write](const Rows& rows, Writing& writing) {
            writing.begin_mapping();
            for (const auto& [at, value] : rows) {
              writing.key(format_quantity(at, quantity_kind));
              write(value, writing);
            }
            writing.end_mapping();
          },
          words,
          {NodeKind::mapping},
          mapping_schema(quantity_pattern, kind.schema),
          keys_detail::tree_of(KeyTree::Form::table, kind.inside)};
}

/// Either of two kinds, told apart by the kind of node (a word or a mapping, a number or a list, …).
template <typename First, typename Second>
ValueKind<std::variant<First, Second>> either(ValueKind<First> first, ValueKind<Second> second) {
  using Value = std::variant<First, Second>;
  const std::string words = first.words + ", or " + second.words;
  std::vector<NodeKind> forms = first.forms;
  forms.insert(forms.end(), second.forms.begin(), second.forms.end());
  auto takes = [](const std::vector<NodeKind>& list, NodeKind kind) {
    return std::find(list.begin(), list.end(), kind) != list.end();
  };
  return {[=](const Node& node, Reading& reading) -> std::optional<Value> {
            if (takes(first.forms, node.kind())) {
              if (auto value = first.read(node, reading))
                return Value(std::in_place_index<0>, std::move(*value));
            } else if (takes(second.forms, node.kind())) {
              if (auto value = second.read(node, reading))
                return Value(std::in_place_index<1>, std::move(*value));
            } else {
              reading.wrong_kind(node, words);
            }
            return std::nullopt;
          },
          [=](const Value& value, Writing& writing) {
            if (value.index() == 0) {
              first.write(std::get<0>(value), writing);
            } else {
              second.write(std::get<1>(value), writing);
            }
          },
          words,
          std::move(forms),
          any_of({first.schema, second.schema}),
          second.inside ? second.inside : first.inside};
}

/// A kind read and written as another one: `make` from what is read, `take` back for writing.
template <typename T, typename Held, std::invocable<Held> Make, std::invocable<const T&> Take>
ValueKind<T> converted(ValueKind<Held> kind, Make make, Take take) {
  return {[read = kind.read, make](const Node& node, Reading& reading) -> std::optional<T> {
            std::optional<Held> value = read(node, reading);
            if (!value) return std::nullopt;
            return make(std::move(*value));
          },
          [write = kind.write, take](const T& value, Writing& writing) { write(take(value), writing); },
          kind.words,
          kind.forms,
          kind.schema,
          kind.inside};
}

}  // namespace cabinfield
