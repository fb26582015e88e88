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

/// Puts what `spec` gives in place of what `settings` hold.
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

/// What each channel is given on its own and by each of its groups; kept apart so that a preset can replace
/// either.
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
                ? fmt::format("{}: driver '{}' stands here twice", owner, name.value)
                : fmt::format(
                      "driver '{}' is fed by channel '{}' and by channel '{}': one amplifier output a coil",
                      name.value, other->second, entry.name));
      const int driver = position_of(scene.drivers, name.value);
      if (driver >= 0) channel.drivers.push_back(driver);
    }
    if (entry.value.wiring) channel.wiring = entry.value.wiring->drivers;
    Given settings;
    settings.own.signal = {0.5, 0.5};
    // Groups fill in what the channel leaves out; its own word wins.
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
      faults.add(entry.location, "preset 'as_drawn' is the name of the scene as it stands: choose another");
    if (scene.channels.empty()) {
      if (spec.sound("channels"))
        faults.add(entry.location, fmt::format("preset '{}': there are no channels to set", entry.name));
      continue;
    }
    std::vector<Given> settings = given;
    for (const auto& change : entry.value.channels) {
      const std::string owner = fmt::format("preset '{}': {}", entry.name, change.name);
      if (change.value.has("wiring"))
        faults.add(change.value.at("wiring"), owner + ": wiring is soldered, a preset cannot change it");
      const int channel = position_of(scene.channels, change.name);
      const int group = position_of(spec.groups, change.name);
      if (channel >= 0) {
        replace(settings[channel].own, change.value, owner, faults);
      } else if (group >= 0) {
        for (std::size_t c = 0; c < settings.size(); ++c) {
          auto found = settings[c].by_group.find(change.name);
          if (found == settings[c].by_group.end()) continue;
          // Gain, delay and mute are the group's own; the rest it can only say for each member.
          if (change.value.has("gain")) found->second.gain_db = change.value.gain_db;
          if (change.value.has("delay")) found->second.delay_s = change.value.delay_s;
          if (change.value.has("mute")) found->second.mute = change.value.mute;
          ChannelSpec rest = change.value;
          for (const char* key : {"gain", "delay", "mute"}) rest.keys.erase(key);
          replace(settings[c].own, rest, owner, faults);
        }
      } else if (spec.sound("groups") || !spec.groups.empty()) {
        std::vector<std::string> known = names_of(scene.channels);
        for (const auto& named_group : spec.groups) known.push_back(named_group.name);
        faults.add(change.location, unknown_name("channel", change.name, known));
      }
    }
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

  // Legal but foolish: of a scene without faults, since what is at fault may be what is missed.
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
