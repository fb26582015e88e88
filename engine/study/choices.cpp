#include "study/choices.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/nearest_name.h"
#include "base/quoted.h"
#include "input/scene_keys.h"
#include "scene/build_steps.h"

namespace cabinfield {
namespace {

std::vector<std::string> names_in(const Node& scene, const char* section) {
  std::vector<std::string> names;
  if (const Node* node = scene.find(section))
    for (const Entry& entry : node->entries()) names.push_back(entry.key);
  return names;
}

bool holds(const std::vector<std::string>& list, const std::string& name) {
  return std::find(list.begin(), list.end(), name) != list.end();
}

/// Channels that are like a silent one play on as they did.
void keep_playing(const Located<std::string>& muted, const std::vector<Located<std::string>>& names,
                  const Node& scene, std::vector<Edit>& edits) {
  for (const Entry& channel : scene.find("channels")->entries()) {
    const Node* like = channel.value.find("like");
    const bool is_muted =
        std::any_of(names.begin(), names.end(), [&](const auto& name) { return name.value == channel.key; });
    if (like == nullptr || like->text() != muted.value || is_muted || channel.value.find("mute") != nullptr)
      continue;
    const std::string path = "channels." + channel.key + ".mute";
    const Node own = setting_at(scene, path);
    edits.push_back({Edit::Action::set, path,
                     own.kind() == NodeKind::null ? scalar_node("no", muted.location) : own, muted.location});
  }
}

void mute(const std::vector<Located<std::string>>& names, const Node& scene, const std::string& preset,
          std::vector<Edit>& edits, Faults& faults) {
  const std::vector<std::string> channels = names_in(scene, "channels"), groups = names_in(scene, "groups");
  for (const Located<std::string>& name : names) {
    const bool is_channel = holds(channels, name.value);
    if (!is_channel && !holds(groups, name.value)) {
      std::vector<std::string> known = channels;
      known.insert(known.end(), groups.begin(), groups.end());
      faults.add(name.location, build::unknown_name("channel or group", name.value, known));
      continue;
    }
    const Node yes = scalar_node("yes", name.location);
    edits.push_back({Edit::Action::set, (is_channel ? "channels." : "groups.") + name.value + ".mute", yes,
                     name.location});
    if (is_channel) keep_playing(name, names, scene, edits);
    if (!preset.empty())
      edits.push_back(
          {Edit::Action::set, "presets." + preset + ".channels." + name.value + ".mute", yes, name.location});
  }
}

}  // namespace

std::vector<Edit> edits_of(const ChangesSpec& changes, const Node& scene, const std::string& preset,
                           Faults& faults) {
  std::vector<Edit> edits;
  for (const auto& block : changes.remove_blocks)
    edits.push_back({Edit::Action::remove, "cabin.blocks." + block.value, Node(), block.location});
  if (!changes.add_blocks.items().empty())
    edits.push_back({Edit::Action::add, "cabin.blocks", changes.add_blocks, changes.add_blocks.location()});
  for (const Entry& entry : changes.set.entries())
    edits.push_back({Edit::Action::set, entry.key, entry.value, entry.key_location});
  for (const auto& path : changes.remove)
    edits.push_back({Edit::Action::remove, path.value, Node(), path.location});
  for (const Entry& entry : changes.add.entries())
    edits.push_back({Edit::Action::add, entry.key, entry.value, entry.key_location});
  mute(changes.mute, scene, preset, edits, faults);
  return edits;
}

std::vector<Edit> edits_of(const PlaceSpec& location, const std::string& driver, const Node& scene,
                           const std::string& preset, Faults& faults) {
  std::vector<Edit> edits = edits_of(location.changes, scene, preset, faults);
  const std::string path = "drivers." + driver + ".";
  const std::vector<std::string> known = driver_keys().names();
  for (const auto& key : location.without) {
    if (!holds(known, key.value)) {
      faults.add(key.location, build::unknown_name("key of a driver", key.value, known));
    } else if (location.node.find(key.value) != nullptr) {
      faults.add(key.location,
                 quoted(key.value) + " is also given here: either give it, or list it in without");
    } else if (setting_at(scene, path + key.value).kind() != NodeKind::null) {
      edits.push_back({Edit::Action::remove, path + key.value, Node(), key.location});
    }
  }
  for (const Entry& entry : location.node.entries())
    if (holds(known, entry.key))
      edits.push_back({Edit::Action::set, path + entry.key, entry.value, entry.key_location});

  const Node* surface = location.node.find("surface");
  // Another side of the same box keeps what is behind it.
  const auto body = [](const std::string& name) { return name.substr(0, name.find('.')); };
  if (surface == nullptr || body(setting_at(scene, path + "surface").text()) == body(surface->text()))
    return edits;
  std::vector<std::string> kept;
  for (const char* key : {"setback", "grille", "loading", "opening"}) {
    const bool said =
        location.node.find(key) != nullptr || std::any_of(location.without.begin(), location.without.end(),
                                                          [&](const auto& w) { return w.value == key; });
    if (!said && setting_at(scene, path + key).kind() != NodeKind::null) kept.push_back(key);
  }
  if (!kept.empty())
    faults.warn(surface->location(),
                fmt::format("driver '{}' moves to another surface but keeps {} from the scene: give new "
                            "values here, or leave them out with without: [{}]",
                            driver, joined_by_commas(kept), joined_by_commas(kept)));
  return edits;
}

std::vector<Edit> edits_to_mirror(const std::string& other, const Located<std::string>& driver,
                                  const Node& scene) {
  std::vector<Edit> edits;
  const std::string path = "drivers." + other + ".";
  const Node* drivers = scene.find("drivers");
  const Node* entry = drivers != nullptr ? drivers->find(other) : nullptr;
  if (entry == nullptr) return edits;
  for (const Entry& key : entry->entries())
    if (key.key != "mirror_of" && key.key != "model")
      edits.push_back({Edit::Action::remove, path + key.key, Node(), driver.location});
  const Node* mirror = entry->find("mirror_of");
  if (mirror == nullptr || mirror->text() != driver.value)
    edits.push_back(
        {Edit::Action::set, path + "mirror_of", scalar_node(driver.value, driver.location), driver.location});
  return edits;
}

bool is_as_drawn(const Node& node) { return node.kind() == NodeKind::scalar && node.text() == "as_drawn"; }

std::string value_label(const Node& value) {
  std::string words;
  switch (value.kind()) {
    case NodeKind::null:
      return "none";
    case NodeKind::scalar:
      words = value.text();
      break;
    case NodeKind::sequence:
      for (const Node& item : value.items()) words += (words.empty() ? "" : " ") + value_label(item);
      break;
    case NodeKind::mapping:
      for (const Entry& entry : value.entries())
        words += (words.empty() ? "" : ", ") + entry.key + " " + value_label(entry.value);
      break;
  }
  return shortened(words);
}

}  // namespace cabinfield
