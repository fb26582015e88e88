#include "study/edits.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <functional>
#include <optional>
#include <string_view>

#include "base/nearest_name.h"
#include "base/quoted.h"
#include "input/scene_keys.h"
#include "study/inherited.h"
#include "study/shifts.h"

namespace cabinfield {
namespace {

/// A text that is a whole number and nothing else.
std::optional<std::size_t> whole_number(const std::string& text) {
  std::size_t number = 0;
  const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (status != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return number;
}

/// Which item of a list has that name, else that position counted from 1.
std::optional<std::size_t> item_called(const std::vector<Node>& items, const std::string& part) {
  for (std::size_t i = 0; i < items.size(); ++i)
    if (const Node* name = items[i].find("name"); name != nullptr && name->text() == part) return i;
  const std::optional<std::size_t> number = whole_number(part);
  if (number && *number >= 1 && *number <= items.size()) return *number - 1;
  return std::nullopt;
}

/// The node at a path that names things in lists by position or name; null where there is none.
Node found(const Node& root, std::string_view path) {
  const Node* at = &root;
  for (std::size_t done = 0; done < path.size();) {
    const std::string part(path.substr(done, path.find('.', done) - done));
    const Node* next = at->find(part);
    if (const auto position = item_called(at->items(), part)) next = &at->items()[*position];
    if (next == nullptr) return Node();
    at = next;
    done += part.size() + 1;
  }
  return *at;
}

/// One edit on its way from the top of a scene to the setting.
class Walk {
 public:
  Walk(const Node& scene, const Edit& edit, Faults& faults)
      : scene_(scene), edit_(edit), path_(edit.path), faults_(faults) {}

  /// The changed scene; as it was after a fault.
  Node made() {
    if (path_.empty()) {
      fault("is not a setting: a path is names joined by dots, such as channels.sub.gain");
      return scene_;
    }
    return enter(scene_, scene_keys().tree(), 0).value_or(scene_);
  }

 private:
  /// `done` characters of the path lead to `node`. Empty after a fault.
  std::optional<Node> enter(const Node& node, const KeyTreePointer& tree, std::size_t done) {
    switch (node.kind()) {
      case NodeKind::mapping:
        return enter_mapping(node, tree, done);
      case NodeKind::sequence:
        return enter_list(node, tree, done);
      case NodeKind::scalar:
      case NodeKind::null:
        break;
    }
    return fault(fmt::format("is inside {}, which is {}", walked(done), in_words(node)));
  }

  std::optional<Node> enter_mapping(const Node& node, const KeyTreePointer& tree, std::size_t done) {
    const std::string key = key_at(node, done);
    const std::size_t next = done + key.size() + 1;
    const bool last = next > path_.size();
    const Node* there = node.find(key);
    if (tree && tree->form == KeyTree::Form::mapping && !tree->has(key))
      return fault(no_such(key, done, names_in(node, tree)));
    if (last) return change(node, key, there, tree, done);

    const KeyTreePointer inside = tree ? tree->inside(key) : nullptr;
    if (there != nullptr) return with_child(node, key, enter(*there, inside, next), done);
    if (is_section_entry(tree, done)) return fault(no_such(key, done, names_in(node, tree)));
    if (const Node taken = inherited(key, done); taken.kind() != NodeKind::null)
      return with_child(node, key, enter(taken, inside, next), done);
    if (!inside || inside->form == KeyTree::Form::list || inside->form == KeyTree::Form::value)
      return fault(fmt::format("is inside {}, which the scene does not have", walked(next - 1)));
    return with_child(node, key, enter(mapping_node({}, edit_.location), inside, next), done);
  }

  std::optional<Node> enter_list(const Node& node, const KeyTreePointer& tree, std::size_t done) {
    const std::string part = path_.substr(done, path_.find('.', done) - done);
    const std::size_t next = done + part.size() + 1;
    const bool last = next > path_.size();
    const std::vector<Node>& items = node.items();
    const std::optional<std::size_t> position = position_in(node, part, done);
    if (!position) return std::nullopt;

    std::vector<Node> changed = items;
    if (!last) {
      const std::optional<Node> item = enter(items[*position], tree ? tree->each : nullptr, next);
      if (!item) return std::nullopt;
      changed[*position] = *item;
    } else if (edit_.action == Edit::Action::set) {
      changed[*position] = edit_.value;
    } else if (edit_.action == Edit::Action::remove) {
      changed.erase(changed.begin() + static_cast<std::ptrdiff_t>(*position));
    } else if (edit_.action == Edit::Action::shift) {
      const std::optional<Node> item = shift(items[*position], done + part.size());
      if (!item) return std::nullopt;
      changed[*position] = *item;
    } else {
      return fault(fmt::format("exists already: add to {} instead", walked(done)));
    }
    return list_node(std::move(changed), place_of(node, done));
  }

  /// What the edit is about stands under this key of the mapping.
  std::optional<Node> change(const Node& node, const std::string& key, const Node* there,
                             const KeyTreePointer& tree, std::size_t done) {
    const KeyTreePointer inside = tree ? tree->inside(key) : nullptr;
    const bool is_entry = is_section_entry(tree, done);
    switch (edit_.action) {
      case Edit::Action::set:
        if (is_entry && there == nullptr) return fault(no_such(key, done, names_in(node, tree)));
        return with_child(node, key, edit_.value, done);
      case Edit::Action::remove:
        if (there != nullptr) return without_child(node, key, done);
        if (is_entry) return fault(no_such(key, done, names_in(node, tree)));
        return fault(inherited(key, done).kind() == NodeKind::null
                         ? "is not given in the scene: there is nothing to remove"
                         : "is inherited from another entry: remove it there");
      case Edit::Action::shift:
        if (there == nullptr) return fault(no_such(key, done, names_in(node, tree)));
        return with_child(node, key, shift(*there, path_.size()), done);
      case Edit::Action::add:
        break;
    }
    if (inside && inside->form == KeyTree::Form::list) return add_items(node, key, there, done);
    if (inside && inside->form == KeyTree::Form::names) return add_entries(node, key, there, done);
    if (there != nullptr) return fault("exists already: set it, or add under another name");
    if (!is_entry)
      return fault("is a single setting: set it; only entries of sections and lists can be added");
    return with_child(node, key, edit_.value, done);
  }

  std::optional<Node> add_items(const Node& node, const std::string& key, const Node* there,
                                std::size_t done) {
    std::vector<Node> items = there != nullptr ? there->items() : std::vector<Node>();
    if (there != nullptr && there->kind() != NodeKind::sequence)
      return fault("is " + in_words(*there) + " in the scene: nothing can be added to it");
    if (edit_.value.kind() == NodeKind::sequence)
      items.insert(items.end(), edit_.value.items().begin(), edit_.value.items().end());
    else
      items.push_back(edit_.value);
    return with_child(
        node, key, list_node(std::move(items), there != nullptr ? there->location() : edit_.location), done);
  }

  std::optional<Node> add_entries(const Node& node, const std::string& key, const Node* there,
                                  std::size_t done) {
    std::vector<Entry> entries = there != nullptr ? there->entries() : std::vector<Entry>();
    if (edit_.value.kind() != NodeKind::mapping || (there != nullptr && there->kind() != NodeKind::mapping))
      return fault("needs a mapping of the names to add, but this is " + in_words(edit_.value));
    for (const Entry& entry : edit_.value.entries()) {
      if (there != nullptr && there->find(entry.key) != nullptr) {
        faults_.add(entry.key_location,
                    fmt::format("{}.{} exists already: set it, or add under another name", path_, entry.key));
        return std::nullopt;
      }
      entries.push_back(entry);
    }
    return with_child(node, key,
                      mapping_node(std::move(entries), there != nullptr ? there->location() : edit_.location),
                      done);
  }

  /// The entry that the first `until` characters of the path name, moved.
  std::optional<Node> shift(const Node& entry, std::size_t until) {
    const Shifted shifted =
        shifted_entry(entry, found(with_inherited(), path_.substr(0, until)), path_, edit_.value);
    if (shifted.error.empty()) return shifted.entry;
    return fault(shifted.error);
  }

  std::optional<Node> with_child(const Node& node, const std::string& key, const std::optional<Node>& value,
                                 std::size_t done) {
    if (!value) return std::nullopt;
    std::vector<Entry> entries = node.entries();
    const auto same = [&](const Entry& entry) { return entry.key == key; };
    const auto at = std::find_if(entries.begin(), entries.end(), same);
    if (at == entries.end()) {
      entries.push_back({key, edit_.location, *value});
    } else {
      at->value = *value;
    }
    return mapping_node(std::move(entries), place_of(node, done));
  }

  std::optional<Node> without_child(const Node& node, const std::string& key, std::size_t done) {
    std::vector<Entry> entries = node.entries();
    std::erase_if(entries, [&](const Entry& entry) { return entry.key == key; });
    return mapping_node(std::move(entries), place_of(node, done));
  }

  /// Sections and their entries stay where they were. What lies deeper is another thing once changed: where a
  /// material stands tells it from others, and an alias may have put the unchanged one elsewhere too.
  const SourceLocation& place_of(const Node& node, std::size_t done) const {
    const auto depth = std::count(path_.begin(), path_.begin() + static_cast<std::ptrdiff_t>(done), '.');
    return depth < 3 ? node.location() : edit_.location;
  }

  /// The longest of a mapping's own keys that the path goes on with, since keys may hold dots (31.5 Hz).
  std::string key_at(const Node& node, std::size_t done) const {
    const std::string_view rest = std::string_view(path_).substr(done);
    std::string key(rest.substr(0, rest.find('.')));
    for (const Entry& entry : node.entries()) {
      const bool fits =
          rest.starts_with(entry.key) && (rest.size() == entry.key.size() || rest[entry.key.size()] == '.');
      if (fits && entry.key.size() > key.size()) key = entry.key;
    }
    return key;
  }

  std::optional<std::size_t> position_in(const Node& list, const std::string& part, std::size_t done) {
    const std::vector<Node>& items = list.items();
    if (const auto position = item_called(items, part)) return position;
    if (const auto number = whole_number(part)) {
      fault(fmt::format("has no item {}: {} has {} items, counted from 1", *number, walked(done),
                        items.size()));
      return std::nullopt;
    }
    // A name may be a mirrored one that stands nowhere in the file.
    const auto names_of = [](const Node& node) {
      std::vector<std::string> names;
      for (const Node& item : node.items()) {
        const Node* name = item.find("name");
        names.push_back(name != nullptr ? name->text() : "");
      }
      return names;
    };
    std::vector<std::string> names = names_of(list);
    auto at = std::find(names.begin(), names.end(), part);
    if (at == names.end()) {
      const Node whole = found(with_inherited(), path_.substr(0, done - 1));
      if (whole.items().size() == items.size()) names = names_of(whole);
      at = std::find(names.begin(), names.end(), part);
    }
    if (at != names.end()) return static_cast<std::size_t>(at - names.begin());
    std::erase(names, "");
    fault(names.empty()
              ? fmt::format("needs the number (from 1) or the name of an item of {}, which has {} items",
                            walked(done), items.size())
              : no_such(part, done, names));
    return std::nullopt;
  }

  /// True where the names of a section end at `done`: they must be there before anything in them is set. The
  /// names within a preset are those of other sections, and checked when the scene is built.
  bool is_section_entry(const KeyTreePointer& tree, std::size_t done) const {
    return tree && tree->form == KeyTree::Form::names &&
           std::count(path_.begin(), path_.begin() + static_cast<std::ptrdiff_t>(done), '.') == 1;
  }

  static std::vector<std::string> names_in(const Node& node, const KeyTreePointer& tree) {
    std::vector<std::string> names;
    if (tree && tree->form == KeyTree::Form::mapping) {
      for (const auto& [key, inside] : tree->keys) names.push_back(key);
    } else {
      for (const Entry& entry : node.entries()) names.push_back(entry.key);
    }
    return names;
  }

  /// "is unknown: channels.sub has no 'lowpas'; did you mean 'lowpass'? known: …"
  std::string no_such(const std::string& part, std::size_t done,
                      const std::vector<std::string>& known) const {
    const std::string hint = nearest_name_hint(part, known);
    return fmt::format("is unknown: {} has no {}{} known: {}", walked(done), quoted(part),
                       hint.empty() ? ";" : hint, joined_by_commas(known));
  }

  /// "channels.sub", or "the scene".
  std::string walked(std::size_t done) const {
    return done == 0 ? "the scene" : path_.substr(0, path_[done - 1] == '.' ? done - 1 : done);
  }

  std::nullopt_t fault(const std::string& predicate) {
    faults_.add(edit_.location, fmt::format("setting {} {}", quoted(path_), predicate));
    return std::nullopt;
  }

  const Node& with_inherited() {
    if (!with_inherited_) with_inherited_ = with_inherited_keys(scene_);
    return *with_inherited_;
  }

  /// What the entry at `done` characters of the path takes under this key from another; null where nothing.
  Node inherited(const std::string& key, std::size_t done) {
    const std::string owner = done == 0 ? "" : path_.substr(0, done - 1);
    const Node by_name = found(with_inherited(), owner + "." + key);
    if (by_name.kind() != NodeKind::null) return by_name;
    // In a preset a channel's key stands for that of the channel or group, and a channel's for its groups'.
    const std::size_t in_preset =
        owner.starts_with("presets.") ? owner.find(".channels.") : std::string::npos;
    const bool is_channel = owner.starts_with("channels.");
    if (!is_channel && in_preset == std::string::npos) return Node();
    const std::string name = is_channel ? owner.substr(9) : owner.substr(in_preset + 10);
    for (const char* section : {"channels.", "groups."}) {
      const Node own = found(with_inherited(), section + name + "." + key);
      if (own.kind() != NodeKind::null) return own;
    }
    Node last;
    const Node* groups = scene_.find("groups");
    if (groups == nullptr) return last;
    for (const Entry& group : groups->entries()) {
      const Node* members = group.value.find("members");
      const Node* value = group.value.find(key);
      if (members == nullptr || value == nullptr) continue;
      for (const Node& member : members->items())
        if (member.text() == name) last = *value;
    }
    return last;
  }

  const Node& scene_;
  const Edit& edit_;
  const std::string& path_;
  Faults& faults_;
  std::optional<Node> with_inherited_;
};

}  // namespace

Node edited(const Node& scene, std::span<const Edit> edits, Faults& faults) {
  Node changed = scene;
  for (const Edit& edit : edits) changed = Walk(changed, edit, faults).made();
  return changed;
}

Node setting_at(const Node& scene, const std::string& path) {
  const Node own = found(scene, path);
  return own.kind() != NodeKind::null ? own : found(with_inherited_keys(scene), path);
}

bool changes_the_cabin(const Edit& edit) {
  // Drivers, channels and what hears them lie in the cabin and leave it as it is.
  static constexpr std::array outside = {"drivers", "channels", "groups", "presets", "models",
                                         "title",   "brief",    "marks",  "tape"};
  const std::string section = edit.path.substr(0, edit.path.find('.'));
  return std::find(outside.begin(), outside.end(), section) == outside.end();
}

Node number_node(double value, const SourceLocation& location) {
  constexpr double decimals = 1e9;
  const double rounded = std::round(value * decimals) / decimals;
  char text[32];
  char* const end = std::to_chars(text, text + sizeof text, rounded == 0 ? 0 : rounded).ptr;
  return scalar_node(std::string(text, end), location);
}

}  // namespace cabinfield
