#include "study/shifts.h"

#include <algorithm>
#include <array>
#include <optional>
#include <string_view>
#include <utility>
#include <vector>

#include "input/geometry_nodes.h"
#include "input/keys_values.h"
#include "input/scene_keys.h"
#include "study/edits.h"

namespace cabinfield {
namespace {

using Numbers = std::array<double, 3>;

std::optional<double> number_in(const Node& node) {
  if (node.kind() != NodeKind::scalar || node.quoted()) return std::nullopt;
  return parse_number(node.text());
}

/// What is no number stays: the scene's reading finds fault with it.
Node moved(const Node& node, double by) {
  const std::optional<double> value = number_in(node);
  return value && by != 0 ? number_node(*value + by, node.location()) : node;
}

/// A value of that role, each of its numbers moved along its axis.
Node moved_value(GeometryRole role, const Node& node, const Numbers& by) {
  const auto along = [&](std::size_t index) {
    const int axis = is_shifted(role) ? axis_of(role, index) : -1;
    return axis < 0 ? 0 : by[static_cast<std::size_t>(axis)];
  };
  if (node.kind() != NodeKind::sequence) return moved(node, along(0));
  std::vector<Node> items;
  for (std::size_t i = 0; i < node.items().size(); ++i) items.push_back(moved(node.items()[i], along(i)));
  return list_node(std::move(items), node.location());
}

Node with_key(const Node& mapping, const std::string& key, const Node& value) {
  std::vector<Entry> entries = mapping.entries();
  for (Entry& entry : entries)
    if (entry.key == key) {
      entry.value = value;
      return mapping_node(std::move(entries), mapping.location());
    }
  entries.push_back({key, value.location(), value});
  return mapping_node(std::move(entries), mapping.location());
}

/// Where entries are that can be shifted.
constexpr std::array<std::string_view, 4> shiftable{"cabin.blocks.", "seats.", "drivers.", "boxes."};

/// The tree of an entry of that section: "cabin.blocks." names the entries of a list or mapping.
KeyTreePointer tree_of_entry(std::string_view section) {
  KeyTreePointer tree = scene_keys().tree();
  while (!section.empty() && tree) {
    const std::size_t dot = section.find('.');
    tree = tree->inside(std::string(section.substr(0, dot)));
    section.remove_prefix(dot + 1);
  }
  return tree ? tree->each : nullptr;
}

}  // namespace

Node shifted_geometry(const Node& node, const KeyTreePointer& tree, const std::array<double, 3>& by) {
  return with_changed_geometry(
      node, tree, [&](GeometryRole role, const Node& value) { return moved_value(role, value, by); });
}

Shifted shifted_entry(const Node& entry, const Node& whole, const std::string& path, const Node& by) {
  const std::vector<double> no_numbers;
  Numbers shift{};
  bool complete = by.items().size() == shift.size();
  for (std::size_t i = 0; complete && i < shift.size(); ++i) {
    const std::optional<double> number = number_in(by.items()[i]);
    complete = number.has_value();
    shift[i] = number.value_or(0);
  }
  if (!complete)
    return {entry, "cannot be shifted by " + in_words(by) + ": give three bare numbers [x, y, z]"};

  const auto section = std::find_if(shiftable.begin(), shiftable.end(),
                                    [&](std::string_view one) { return path.starts_with(one); });
  if (section == shiftable.end()) return {entry, "cannot be shifted: blocks, seats, drivers and boxes can"};

  // The keys that hold positions of the entry itself.
  std::vector<std::pair<std::string, KeyTreePointer>> keys;
  for (const auto& key : tree_of_entry(*section)->keys)
    if (has_role(key.second, is_shifted)) keys.push_back(key);
  const bool has_place = std::any_of(keys.begin(), keys.end(),
                                     [&](const auto& key) { return entry.find(key.first) != nullptr; });
  const Node* original = entry.find("mirror_of");
  if (!has_place && original != nullptr)
    return {entry, "takes its position from '" + original->text() + "': shift that one instead"};
  if (!has_place) return {entry, "has no position to shift"};
  if (shift == Numbers{}) return {entry, ""};

  // An entry that mirrors another and has a place of its own keeps the rest of it moved too.
  Node changed = entry;
  for (const auto& [key, tree] : keys) {
    const Node* value = entry.find(key);
    if (value == nullptr) value = whole.find(key);
    if (value == nullptr) continue;
    changed = with_key(changed, key, shifted_geometry(*value, tree, shift));
  }
  return {changed, ""};
}

}  // namespace cabinfield
