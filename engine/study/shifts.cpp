#include "study/shifts.h"

#include <array>
#include <optional>
#include <utility>
#include <vector>

#include "input/keys_values.h"
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

/// The items of a list, each moved by its own number.
Node moved_list(const Node& node, const std::vector<double>& by) {
  std::vector<Node> items;
  for (std::size_t i = 0; i < node.items().size(); ++i)
    items.push_back(i < by.size() ? moved(node.items()[i], by[i]) : node.items()[i]);
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

/// Corners [a, b] or {x, y or z} of a block seen along one axis.
Node moved_corners(const Node& corners, const Numbers& by, int second_axis) {
  const char* const second = second_axis == 1 ? "y" : "z";
  const std::vector<double> pair{by[0], by[static_cast<std::size_t>(second_axis)]};
  std::vector<Node> items;
  for (const Node& corner : corners.items()) {
    if (corner.kind() == NodeKind::sequence) {
      items.push_back(moved_list(corner, pair));
      continue;
    }
    Node changed = corner;
    if (const Node* x = corner.find("x")) changed = with_key(changed, "x", moved(*x, pair[0]));
    if (const Node* other = corner.find(second)) changed = with_key(changed, second, moved(*other, pair[1]));
    items.push_back(changed);
  }
  return list_node(std::move(items), corners.location());
}

/// The keys that place an entry, moved; `whole` has those that it inherits.
Node moved_block(Node block, const Node& whole, const Numbers& by) {
  for (const auto& [key, swept, across] : {std::tuple{"profile", "y", 2}, {"plan", "z", 1}}) {
    const Node* corners = block.find(key);
    if (corners == nullptr) corners = whole.find(key);
    if (corners == nullptr) continue;
    block = with_key(block, key, moved_corners(*corners, by, across));
    const Node* range = block.find(swept);
    if (range == nullptr) range = whole.find(swept);
    if (range == nullptr) return block;
    const double along = by[across == 2 ? 1 : 2];
    return with_key(block, swept, moved_list(*range, {along, along}));
  }
  return block;
}

}  // namespace

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
    return {entry, "is to be shifted by " + in_words(by) + ": give three bare numbers [x, y, z]"};

  const std::string section = path.substr(0, path.find('.'));
  const bool is_block = path.starts_with("cabin.blocks.");
  std::vector<const char*> keys;
  if (section == "seats") keys = {"head", "reference"};
  if (section == "drivers") keys = {"position"};
  if (section == "boxes") keys = {"outside"};
  if (is_block) keys = {"profile", "plan", "y", "z"};
  if (keys.empty()) return {entry, "cannot be shifted: blocks, seats, drivers and boxes can"};

  bool has_place = false;
  for (const char* key : keys) has_place = has_place || entry.find(key) != nullptr;
  const Node* original = entry.find("mirror_of");
  if (!has_place && original != nullptr)
    return {entry, "takes its place from '" + original->text() + "': shift that"};
  if (!has_place) return {entry, "has no place that could be shifted"};
  if (shift == Numbers{}) return {entry, ""};

  const std::vector<double> all(shift.begin(), shift.end());
  if (is_block) return {moved_block(entry, whole, shift), ""};
  Node changed = entry;
  for (const char* key : keys) {
    const Node* value = entry.find(key);
    if (value == nullptr) continue;
    if (section == "boxes") {
      const Node* at = value->find("at");
      if (at != nullptr) changed = with_key(changed, key, with_key(*value, "at", moved_list(*at, all)));
    } else {
      changed = with_key(changed, key, moved_list(*value, all));
    }
  }
  return {changed, ""};
}

}  // namespace cabinfield
