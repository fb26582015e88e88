#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "scene/build_steps.h"

namespace cabinfield::build {
namespace {

SignalMix signal_mix(const std::variant<SignalWord, SignalMixSpec>& signal) {
  if (const SignalMixSpec* mix = std::get_if<SignalMixSpec>(&signal)) return {mix->left, mix->right};
  switch (std::get<SignalWord>(signal)) {
    case SignalWord::left:
      return {1, 0};
    case SignalWord::right:
      return {0, 1};
    case SignalWord::side:
      return {0.5, -0.5};
    case SignalWord::mono:
      break;
  }
  return {0.5, 0.5};
}

std::optional<Crossover> crossover(const CrossoverSpec& spec, const std::string& owner, Faults& faults) {
  if (!spec.sound()) return std::nullopt;
  if (!has_order(spec.family, spec.order)) {
    faults.add(spec.at("order"), fmt::format("{}: a Linkwitz-Riley crossover has order 2, 4, 6 or 8, not {}",
                                             owner, spec.order));
    return std::nullopt;
  }
  return Crossover{spec.family, spec.order, spec.frequency_hz};
}

/// Replaces in `settings` what `spec` gives.
void replace(ChannelSettings& settings, const ChannelSpec& spec, const std::string& owner, Faults& faults) {
  if (spec.has("signal") && spec.signal) settings.signal = signal_mix(*spec.signal);
  if (spec.highpass) settings.highpass = crossover(*spec.highpass, owner + ": highpass", faults);
  if (spec.lowpass) settings.lowpass = crossover(*spec.lowpass, owner + ": lowpass", faults);
  if (spec.has("equaliser")) {
    settings.equaliser.clear();
    for (const EqualiserBandSpec& band : spec.equaliser)
      settings.equaliser.push_back({band.shape, band.frequency_hz, band.gain_db, band.q});
  }
  if (spec.has("gain")) settings.gain_db = spec.gain_db;
  if (spec.has("delay")) settings.delay_s = spec.delay_s;
  if (spec.has("polarity")) settings.inverted = spec.inverted;
  if (spec.has("mute")) settings.mute = spec.mute;
}

/// A channel's own settings and those of each of its groups, apart so that a preset can replace either.
struct Given {
  ChannelSettings own;
  std::map<std::string, ChannelSettings> by_group;

  ChannelSettings together() const {
    ChannelSettings sum = own;
    for (const auto& [name, group] : by_group) {
      sum.gain_db += group.gain_db;
      sum.delay_s += group.delay_s;
      sum.mute = sum.mute || group.mute;
    }
    return sum;
  }
};

/// What a preset says of a group. Gain, delay and mute are the group's own; the rest is set in each member.
void change_group(std::vector<Given>& settings, const ChannelSpec& change, const std::string& group,
                  const std::string& owner, Faults& faults) {
  for (Given& member : settings) {
    const auto found = member.by_group.find(group);
    if (found == member.by_group.end()) continue;
    if (change.has("gain")) found->second.gain_db = change.gain_db;
    if (change.has("delay")) found->second.delay_s = change.delay_s;
    if (change.has("mute")) found->second.mute = change.mute;
    ChannelSpec rest = change;
    for (const char* key : {"gain", "delay", "mute"}) rest.keys.erase(key);
    replace(member.own, rest, owner, faults);
  }
}

}  // namespace

void channels(const SceneSpec& spec, Scene& scene, Faults& faults) {
  std::vector<Given> given;
  std::map<std::string, std::string> fed_by;
  for (const auto& entry : spec.channels) {
    const std::string owner = fmt::format("channel '{}'", entry.name);
    Channel channel;
    channel.name = entry.name;
    if (!entry.broken && !entry.value.has("drives"))
      faults.add(entry.location,
                 fmt::format("{}: key 'drives' is missing: the drivers that it feeds", owner));
    for (const auto& name : entry.value.drives) {
      check_known("driver", name, spec, "drivers", spec.drivers, faults);
      if (position_of(spec.drivers, name.value) < 0) continue;
      const auto [other, fresh] = fed_by.emplace(name.value, entry.name);
      if (!fresh)
        faults.add(
            name.location,
            other->second == entry.name
                ? fmt::format("{}: duplicate driver '{}'", owner, name.value)
                : fmt::format(
                      "driver '{}' is fed by channel '{}' and by channel '{}': a driver takes one channel",
                      name.value, other->second, entry.name));
      const int driver = position_of(scene.drivers, name.value);
      if (driver >= 0) channel.drivers.push_back(driver);
    }
    if (entry.value.wiring) channel.wiring = entry.value.wiring->drivers;
    Given settings;
    settings.own.signal = {0.5, 0.5};
    // Groups fill in what the channel leaves out; its own settings win.
    for (const auto& group : spec.groups) {
      const bool member = std::any_of(group.value.members.begin(), group.value.members.end(),
                                      [&](const auto& m) { return m.value == entry.name; });
      if (!member) continue;
      ChannelSettings filled;
      replace(filled, group.value, fmt::format("group '{}'", group.name), faults);
      if (filled.highpass) settings.own.highpass = filled.highpass;
      if (filled.lowpass) settings.own.lowpass = filled.lowpass;
      if (group.value.has("signal")) settings.own.signal = filled.signal;
      if (group.value.has("equaliser")) settings.own.equaliser = filled.equaliser;
      if (group.value.has("polarity")) settings.own.inverted = filled.inverted;
      if (group.value.wiring && !entry.value.wiring) channel.wiring = group.value.wiring->drivers;
      settings.by_group[group.name] = {.signal = {},
                                       .highpass = {},
                                       .lowpass = {},
                                       .equaliser = {},
                                       .gain_db = filled.gain_db,
                                       .delay_s = filled.delay_s,
                                       .inverted = false,
                                       .mute = filled.mute};
    }
    replace(settings.own, entry.value, owner, faults);
    given.push_back(std::move(settings));
    scene.channels.push_back(std::move(channel));
  }
  for (const auto& group : spec.groups) {
    if (position_of(spec.channels, group.name) >= 0)
      faults.add(group.location, fmt::format("group '{}' has the name of a channel", group.name));
    for (const auto& member : group.value.members)
      check_known("channel", member, spec, "channels", spec.channels, faults);
  }

  auto preset_of = [](std::string name, const std::vector<Given>& settings) {
    Preset preset;
    preset.name = std::move(name);
    for (const Given& channel : settings) preset.channels.push_back(channel.together());
    return preset;
  };
  if (!scene.channels.empty()) scene.presets.push_back(preset_of("as_drawn", given));
  for (const auto& entry : spec.presets) {
    if (entry.name == "as_drawn")
      faults.add(entry.location, "preset 'as_drawn' is the scene itself: choose another name");
    if (scene.channels.empty()) {
      if (spec.sound("channels"))
        faults.add(entry.location, fmt::format("preset '{}': there are no channels to set", entry.name));
      continue;
    }
    std::vector<Given> settings = given;
    // As in the scene itself: groups first, in the order of `groups`, then each channel's own settings. The
    // order of names in a preset changes nothing.
    for (const auto& change : entry.value.channels) {
      if (change.value.has("wiring"))
        faults.add(change.value.at("wiring"),
                   fmt::format("preset '{}': {}: wiring is soldered, a preset cannot change it", entry.name,
                               change.name));
      if (position_of(scene.channels, change.name) >= 0 || position_of(spec.groups, change.name) >= 0)
        continue;
      if (!spec.sound("groups") && spec.groups.empty()) continue;
      std::vector<std::string> known = names_of(scene.channels);
      for (const auto& named_group : spec.groups) known.push_back(named_group.name);
      faults.add(change.location, unknown_name("channel", change.name, known));
    }
    for (const auto& group : spec.groups)
      if (const int at = position_of(entry.value.channels, group.name); at >= 0)
        change_group(settings, entry.value.channels[static_cast<std::size_t>(at)].value, group.name,
                     fmt::format("preset '{}': {}", entry.name, group.name), faults);
    for (const auto& change : entry.value.channels)
      if (const int channel = position_of(scene.channels, change.name); channel >= 0)
        replace(settings[static_cast<std::size_t>(channel)].own, change.value,
                fmt::format("preset '{}': {}", entry.name, change.name), faults);
    Preset preset = preset_of(entry.name, settings);
    if (!entry.value.state.empty() && entry.value.state != "as_is") {
      if (position_of(spec.states, entry.value.state) < 0 && (spec.sound("states") || !spec.states.empty())) {
        std::vector<std::string> known = names_of(spec.states);
        known.push_back("as_is");
        faults.add(entry.value.at("state"), unknown_name("state", entry.value.state, known));
      }
      preset.state = std::max(0, position_of(scene.states, entry.value.state));
    }
    if (!entry.value.listen.empty()) {
      preset.listen.assign(scene.seats.size(), 0.0);
      for (const auto& weight : entry.value.listen) {
        check_known("seat", {weight.name, weight.location}, spec, "seats", spec.seats, faults);
        const int seat = position_of(scene.seats, weight.name);
        if (seat >= 0) preset.listen[seat] = weight.value;
      }
    }
    scene.presets.push_back(std::move(preset));
  }

  // Legal but foolish. Only without faults: they may be the cause.
  if (faults.any()) return;
  for (const Preset& preset : scene.presets)
    if (std::all_of(preset.channels.begin(), preset.channels.end(),
                    [](const ChannelSettings& s) { return s.mute; }))
      faults.warn(spec.at("channels"), fmt::format("preset '{}': every channel is muted", preset.name));
  for (const auto& driver : spec.drivers)
    if (!spec.channels.empty() && !fed_by.contains(driver.name))
      faults.warn(driver.location,
                  fmt::format("driver '{}' is fed by no channel: it will be silent", driver.name));
}

}  // namespace cabinfield::build
