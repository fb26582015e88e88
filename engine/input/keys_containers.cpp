#include "input/keys_containers.h"

#include <algorithm>
#include <stdexcept>

#include "base/nearest_name.h"
#include "base/quoted.h"

namespace cabinfield {

namespace keys_detail {
namespace {

/// Also a value that is not there, which is a fault.
bool read_value(const UntypedKind& kind, void* value, const Node& node, Reading& reading) {
  if (node.kind() != NodeKind::null) return kind.access->read(value, node, reading);
  reading.wrong_kind(node, kind.words);
  return false;
}

bool takes(const UntypedKind& kind, const Node& node) {
  return std::find(kind.forms.begin(), kind.forms.end(), node.kind()) != kind.forms.end();
}

class ListAccess final : public ValueAccess {
 public:
  ListAccess(const UntypedKind& items, const ListOperations& operations, int least, int greatest,
             std::string words)
      : items_(items),
        operations_(operations),
        least_(least),
        greatest_(greatest),
        words_(std::move(words)) {}

  bool read(void* list, const Node& node, Reading& reading) const override {
    if (node.kind() != NodeKind::sequence) {
      reading.wrong_kind(node, words_);
      return false;
    }
    bool complete = true;
    std::size_t position = 0;
    for (const Node& item : node.items()) {  // every one, also after one has failed
      ReadingScope scope(reading);
      scope.enter_item(++position);
      if (!read_value(items_, operations_.append(list), item, reading)) complete = false;
    }
    const std::string wrong = count_error(node.items().size(), least_, greatest_);
    if (!wrong.empty()) reading.fault(node.location(), wrong, FaultCode::wrong_count);
    return complete && wrong.empty();
  }

  void write(const void* list, Writing& writing) const override {
    const bool short_items = items_.forms == std::vector<NodeKind>{NodeKind::scalar};
    writing.begin_list(short_items);
    for (std::size_t i = 0; i < operations_.size(list); ++i)
      items_.access->write(operations_.value(list, i), writing);
    writing.end_list();
  }

  void visit_geometry(void* list, GeometryVisitor& visitor) const override {
    for (std::size_t i = 0; i < operations_.size(list); ++i)
      items_.access->visit_geometry(const_cast<void*>(operations_.value(list, i)), visitor);
  }

 private:
  UntypedKind items_;
  const ListOperations& operations_;
  int least_, greatest_;
  std::string words_;
};

class PairAccess final : public ValueAccess {
 public:
  PairAccess(const UntypedKind& first, const UntypedKind& second, const PairOperations& operations,
             std::string words)
      : first_(first), second_(second), operations_(operations), words_(std::move(words)) {}

  bool read(void* pair, const Node& node, Reading& reading) const override {
    if (node.kind() != NodeKind::sequence) {
      reading.wrong_kind(node, words_);
      return false;
    }
    if (node.items().size() != 2) {
      reading.fault(node.location(), "has " + count_noun(node.items().size()) + ", expected " + words_,
                    FaultCode::wrong_count);
      return false;
    }
    const auto read_one = [&](const UntypedKind& kind, void* value, std::size_t item) {
      ReadingScope scope(reading);
      scope.enter_item(item + 1);
      return read_value(kind, value, node.items()[item], reading);
    };
    const bool first = read_one(first_, operations_.first(pair), 0);
    const bool second = read_one(second_, operations_.second(pair), 1);
    return first && second;
  }

  void write(const void* pair, Writing& writing) const override {
    void* unchanged = const_cast<void*>(pair);
    writing.begin_list(true);
    first_.access->write(operations_.first(unchanged), writing);
    second_.access->write(operations_.second(unchanged), writing);
    writing.end_list();
  }

  void visit_geometry(void* pair, GeometryVisitor& visitor) const override {
    first_.access->visit_geometry(operations_.first(pair), visitor);
    second_.access->visit_geometry(operations_.second(pair), visitor);
  }

 private:
  UntypedKind first_, second_;
  const PairOperations& operations_;
  std::string words_;
};

class NamedAccess final : public ValueAccess {
 public:
  NamedAccess(const UntypedKind& values, const NamedOperations& operations, std::string words)
      : values_(values), operations_(operations), words_(std::move(words)) {}

  bool read(void* list, const Node& node, Reading& reading) const override {
    if (node.kind() != NodeKind::mapping) {
      reading.wrong_kind(node, words_);
      return false;
    }
    for (const Entry& entry : node.entries()) {
      const std::string wrong = name_error(entry.key);
      if (!wrong.empty()) reading.fault(entry.key_location, wrong);
      ReadingScope scope(reading);
      scope.enter_name(entry.key);
      void* value = operations_.append(list, entry.key, entry.key_location);
      const bool sound = read_value(values_, value, entry.value, reading);
      if (!wrong.empty())
        operations_.remove_last(list);
      else if (!sound)
        operations_.break_last(list);
    }
    return true;
  }

  void write(const void* list, Writing& writing) const override {
    writing.begin_mapping();
    for (std::size_t i = 0; i < operations_.size(list); ++i) {
      writing.key(operations_.name(list, i));
      values_.access->write(operations_.value(list, i), writing);
    }
    writing.end_mapping();
  }

  void visit_geometry(void* list, GeometryVisitor& visitor) const override {
    for (std::size_t i = 0; i < operations_.size(list); ++i)
      values_.access->visit_geometry(const_cast<void*>(operations_.value(list, i)), visitor);
  }

 private:
  UntypedKind values_;
  const NamedOperations& operations_;
  std::string words_;
};

class TableAccess final : public ValueAccess {
 public:
  TableAccess(Quantity quantity_kind, Range range, const UntypedKind& values,
              const TableOperations& operations, std::string words)
      : quantity_kind_(quantity_kind),
        keys_(quantity(quantity_kind, range)),
        values_(values),
        operations_(operations),
        words_(std::move(words)) {}

  bool read(void* rows, const Node& node, Reading& reading) const override {
    if (node.kind() != NodeKind::mapping) {
      reading.wrong_kind(node, words_);
      return false;
    }
    bool complete = true;
    for (const Entry& entry : node.entries()) {
      const std::optional<double> at = keys_.read(scalar_node(entry.key, entry.key_location), reading);
      ReadingScope scope(reading);
      scope.enter_name(entry.key);
      const bool repeated = at && has_row(rows, *at);
      if (repeated)
        reading.fault_beyond_schema(entry.key_location, "is given twice", FaultCode::duplicate_name);
      void* value = operations_.append(rows, at.value_or(0));
      const bool sound = read_value(values_, value, entry.value, reading);
      if (!at || !sound) operations_.remove_last(rows);
      complete = complete && at && sound && !repeated;
    }
    return complete;
  }

  void write(const void* rows, Writing& writing) const override {
    writing.begin_mapping();
    for (std::size_t i = 0; i < operations_.size(rows); ++i) {
      writing.key(format_quantity(operations_.at(rows, i), quantity_kind_));
      values_.access->write(operations_.value(rows, i), writing);
    }
    writing.end_mapping();
  }

  void visit_geometry(void* rows, GeometryVisitor& visitor) const override {
    for (std::size_t i = 0; i < operations_.size(rows); ++i)
      values_.access->visit_geometry(const_cast<void*>(operations_.value(rows, i)), visitor);
  }

 private:
  bool has_row(const void* rows, double at) const {
    for (std::size_t i = 0; i < operations_.size(rows); ++i)
      if (operations_.at(rows, i) == at) return true;
    return false;
  }

  Quantity quantity_kind_;
  ValueKind<double> keys_;
  UntypedKind values_;
  const TableOperations& operations_;
  std::string words_;
};

class EitherAccess final : public ValueAccess {
 public:
  EitherAccess(const UntypedKind& first, const UntypedKind& second, const EitherOperations& operations,
               std::string words)
      : first_(first), second_(second), operations_(operations), words_(std::move(words)) {}

  bool read(void* value, const Node& node, Reading& reading) const override {
    if (takes(first_, node)) return first_.access->read(operations_.first(value), node, reading);
    if (takes(second_, node)) return second_.access->read(operations_.second(value), node, reading);
    reading.wrong_kind(node, words_);
    return false;
  }

  void write(const void* value, Writing& writing) const override {
    if (const void* held = operations_.held_first(value))
      first_.access->write(held, writing);
    else
      second_.access->write(operations_.held_second(value), writing);
  }

  void visit_geometry(void* value, GeometryVisitor& visitor) const override {
    if (const void* held = operations_.held_first(value))
      first_.access->visit_geometry(const_cast<void*>(held), visitor);
    else
      second_.access->visit_geometry(const_cast<void*>(operations_.held_second(value)), visitor);
  }

 private:
  UntypedKind first_, second_;
  const EitherOperations& operations_;
  std::string words_;
};

}  // namespace

KeyTreePointer tree_of(KeyTree::Form form, KeyTreePointer each) {
  return std::make_shared<const KeyTree>(KeyTree{form, {}, std::move(each)});
}

std::string count_words(int least, int greatest) {
  if (least == greatest) return " of " + std::to_string(least);
  const bool open_ended = greatest >= 10000;
  if (least > 0 && open_ended) return " of at least " + std::to_string(least);
  if (open_ended) return "";
  return " of " + std::to_string(least) + " to " + std::to_string(greatest);
}

std::string count_error(std::size_t count, int least, int greatest) {
  if (count >= static_cast<std::size_t>(least) && count <= static_cast<std::size_t>(greatest)) return "";
  const std::string words = count < static_cast<std::size_t>(least) ? "at least " + std::to_string(least)
                                                                    : "at most " + std::to_string(greatest);
  return "has " + count_noun(count) + ", expected " + words;
}

std::string count_noun(std::size_t count) {
  return std::to_string(count) + (count == 1 ? " item" : " items");
}

UntypedKind same_words(const UntypedKind& kind, std::shared_ptr<const ValueAccess> access) {
  UntypedKind other = kind;
  other.access = std::move(access);
  return other;
}

ChoiceAccess::ChoiceAccess(std::vector<std::string> names)
    : names_(std::move(names)), words_((names_.size() > 1 ? "one of " : "") + joined_by_commas(names_)) {}
ChoiceAccess::~ChoiceAccess() = default;

UntypedKind ChoiceAccess::kind(std::shared_ptr<const ValueAccess> self) const {
  return {std::move(self), words_, {NodeKind::scalar}, enum_schema(names_), nullptr};
}

std::optional<std::size_t> ChoiceAccess::chosen(const Node& node, Reading& reading) const {
  if (node.kind() != NodeKind::scalar) {
    reading.wrong_kind(node, words_);
    return std::nullopt;
  }
  const auto found = std::find(names_.begin(), names_.end(), node.text());
  if (found != names_.end()) return static_cast<std::size_t>(found - names_.begin());
  const std::string hint = nearest_name_hint(node.text(), names_);
  reading.fault(node.location(),
                quoted(node.text()) + " is not known" + (hint.empty() ? "," : hint) + " expected " + words_,
                FaultCode::unknown_name);
  return std::nullopt;
}

void ChoiceAccess::write_name(std::optional<std::size_t> position, Writing& writing) const {
  if (!position) throw std::logic_error("no name stands for this choice");
  writing.text(names_[*position]);
}

UntypedKind list_kind(const UntypedKind& items, const ListOperations& operations, int least, int greatest) {
  const std::string words = "a list" + count_words(least, greatest) + ", each " + items.words;
  return {std::make_shared<const ListAccess>(items, operations, least, greatest, words),
          words,
          {NodeKind::sequence},
          array_schema(items.schema, least, greatest),
          tree_of(KeyTree::Form::list, items.inside)};
}

UntypedKind pair_kind(const UntypedKind& first, const UntypedKind& second, const PairOperations& operations) {
  const std::string words = "[" + first.words + "; " + second.words + "]";
  return {std::make_shared<const PairAccess>(first, second, operations, words),
          words,
          {NodeKind::sequence},
          tuple_schema({first.schema, second.schema}),
          nullptr};
}

UntypedKind named_kind(const UntypedKind& values, const NamedOperations& operations) {
  const std::string words = "a mapping from names to values, each " + values.words;
  return {std::make_shared<const NamedAccess>(values, operations, words),
          words,
          {NodeKind::mapping},
          mapping_schema(name_pattern, values.schema),
          tree_of(KeyTree::Form::names, values.inside)};
}

UntypedKind table_kind(Quantity quantity_kind, Range range, const UntypedKind& values,
                       const TableOperations& operations) {
  const std::string words = "a mapping from " + std::string(unit_examples(quantity_kind)) +
                            " or similar to values, each " + values.words;
  return {std::make_shared<const TableAccess>(quantity_kind, range, values, operations, words),
          words,
          {NodeKind::mapping},
          mapping_schema(quantity_pattern, values.schema),
          tree_of(KeyTree::Form::table, values.inside)};
}

UntypedKind either_kind(const UntypedKind& first, const UntypedKind& second,
                        const EitherOperations& operations) {
  const std::string words = first.words + ", or " + second.words;
  std::vector<NodeKind> forms = first.forms;
  forms.insert(forms.end(), second.forms.begin(), second.forms.end());
  return {std::make_shared<const EitherAccess>(first, second, operations, words), words, std::move(forms),
          any_of({first.schema, second.schema}), either_tree(first.inside, second.inside)};
}

}  // namespace keys_detail
}  // namespace cabinfield
