// Outputs of amplifiers and processor: used, used twice, spare, missing; and a proposal where the scene gives
// none.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "plan/judge_system.h"
#include "system/channel_assignment.h"

namespace cabinfield {
namespace {

/// Outputs of each amplifier that the scene assigns, and to which channels.
using Taken = std::vector<std::map<int, std::vector<int>>>;

Taken taken_outputs(const Scene& scene) {
  Taken taken(scene.system.amplifiers.size());
  for (std::size_t c = 0; c < scene.system.feeds.size(); ++c) {
    const ChannelFeed& feed = scene.system.feeds[c];
    if (feed.amplifier < 0) continue;
    for (int output : {feed.output, feed.bridged_with})
      if (output > 0) taken[static_cast<std::size_t>(feed.amplifier)][output].push_back(static_cast<int>(c));
  }
  return taken;
}

double output_power_w(const ChannelLoad& load, const Amplifier& amplifier, bool bridged) {
  if (load.load_ohm.empty() || (bridged ? amplifier.bridged : amplifier.ratings).empty()) return 0;
  if (!drives(amplifier, bridged, load.least.modulus_ohm)) return 0;
  return greatest_power_w(load, amplifier, bridged, 13.8);
}

/// More units than an assignment can be searched for: no output is proposed.
bool too_many_units(const Scene& scene) { return scene.system.amplifiers.size() > most_assigned_units; }

void propose(const Scene& scene, const std::vector<ChannelLoad>& loads, const Taken& taken,
             SystemReport& report) {
  std::vector<int> open;
  for (std::size_t c = 0; c < scene.system.feeds.size(); ++c)
    if (report.feed[c].output == 0) open.push_back(static_cast<int>(c));
  if (open.empty() || scene.system.amplifiers.empty()) return;
  if (too_many_units(scene)) {
    for (int c : open) report.feed[c].proposed = true, report.feed[c].amplifier = -1;
    return;
  }
  std::vector<OutputOptions> options;
  for (int c : open)
    options.push_back({scene.channels[c].name, loads[c].least.modulus_ohm, loads[c].wanted_w});
  std::vector<OutputOffer> offers;
  std::vector<FreeOutputs> free;
  for (std::size_t u = 0; u < scene.system.amplifiers.size(); ++u) {
    const Amplifier& amplifier = scene.system.amplifiers[u].amplifier;
    OutputOffer offer;
    offer.name = scene.system.amplifiers[u].name;
    free.emplace_back(amplifier.channels, !amplifier.bridged.empty());
    for (const auto& [output, whose] : taken[u]) free.back().take(output);
    offer.outputs = free.back().count();
    offer.pairs = free.back().pairs();
    for (int c : open) {
      const int wished = scene.system.feeds[c].amplifier;
      const bool may = wished < 0 || wished == static_cast<int>(u);
      offer.power_w.push_back(may ? output_power_w(loads[c], amplifier, false) : 0);
      offer.bridged_power_w.push_back(may ? output_power_w(loads[c], amplifier, true) : 0);
    }
    offers.push_back(std::move(offer));
  }
  const Assignment found = propose_assignment(options, offers);
  for (std::size_t w = 0; w < open.size(); ++w) {
    FeedRow& row = report.feed[open[w]];
    row.proposed = true;
    const OutputChoice& choice = found.choice[w];
    if (choice.unit < 0) {
      row.amplifier = -1;
      continue;
    }
    const int pairs_to_come = static_cast<int>(
        std::count_if(found.choice.begin() + static_cast<std::ptrdiff_t>(w) + 1, found.choice.end(),
                      [&](const OutputChoice& later) { return later.unit == choice.unit && later.bridged; }));
    FreeOutputs& left = free[static_cast<std::size_t>(choice.unit)];
    row.amplifier = choice.unit;
    row.output = choice.bridged ? left.next_pair() : left.next(pairs_to_come);
    row.bridged_with = choice.bridged ? row.output + 1 : 0;
    for (int output : {row.output, row.bridged_with}) left.take(output);
  }
}

void propose_processor(const Scene& scene, SystemReport& report) {
  if (!scene.system.processor) return;
  std::set<int> used;
  for (const ChannelFeed& feed : scene.system.feeds) used.insert(feed.processor_output);
  int next = 1;
  for (FeedRow& row : report.feed) {
    if (row.processor_output != 0) continue;
    while (used.contains(next)) ++next;
    if (next > scene.system.processor->outputs) continue;
    row.processor_output = next;
    used.insert(next);
  }
}

std::string reason(const Scene& scene, const ChannelLoad& load, const FeedRow& row) {
  if (row.amplifier < 0)
    return too_many_units(scene)
               ? fmt::format("nothing is proposed among more than {} amplifiers", most_assigned_units)
               : "no free output drives its load";
  const PlannedAmplifier& unit = scene.system.amplifiers[row.amplifier];
  const bool bridged = row.bridged_with > 0;
  const double enough = row.power_w / std::max(load.wanted_w, 1e-9);
  return fmt::format(
      "{:.0f} W available; the drivers can use {:.0f} W{}; lowest load {:.1f} ohm, rated down to {:g} ohm "
      "nominal{}",
      row.power_w, load.wanted_w, enough < 0.5 ? " (less than half)" : "", load.least.modulus_ohm,
      bridged ? unit.amplifier.least_bridged_ohm : unit.amplifier.least_load_ohm,
      bridged ? ", two channels bridged" : "");
}

void judge_amplifiers(const Scene& scene, const Taken& named, const SystemReport& report,
                      std::vector<Check>& checks) {
  std::vector<std::string> unnamed;
  for (std::size_t c = 0; c < report.feed.size(); ++c) {
    const FeedRow& row = report.feed[c];
    const std::string& name = scene.channels[c].name;
    if (row.proposed && too_many_units(scene)) {
      unnamed.push_back(name);
    } else if (row.amplifier < 0) {
      checks.push_back(
          value_check(Rule::amplifier_output, name, false, {},
                      fmt::format("{}: no free amplifier output drives its load: add an amplifier, or "
                                  "remove a channel",
                                  name)));
    } else if (row.proposed) {
      checks.push_back(
          value_check(Rule::amplifier_output, name, true, {},
                      fmt::format("{}: no output given; {} channel {} suits it (--propose)", name,
                                  report.amplifier[static_cast<std::size_t>(row.amplifier)], row.output)));
    }
  }
  if (!unnamed.empty()) {
    Check check = value_check(Rule::outputs_left_open, "outputs", true, {},
                              fmt::format("outputs: nothing is proposed among more than {} amplifiers: give "
                                          "the outputs of {} yourself",
                                          most_assigned_units, fmt::join(unnamed, ", ")));
    check.outcome = Outcome::caution;
    checks.push_back(std::move(check));
  }
  for (std::size_t u = 0; u < named.size(); ++u) {
    const int channels = scene.system.amplifiers[u].amplifier.channels;
    std::set<int> used;
    for (const FeedRow& row : report.feed)
      if (row.amplifier == static_cast<int>(u))
        for (int output : {row.output, row.bridged_with})
          if (output > 0) used.insert(output);
    const int spare = channels - static_cast<int>(used.size());
    std::string doubled;
    for (const auto& [output, whose] : named[u])
      if (whose.size() > 1) {
        std::vector<std::string> names;
        for (int c : whose) names.push_back(scene.channels[c].name);
        doubled +=
            fmt::format("{}channel {} by {}", doubled.empty() ? "" : "; ", output, fmt::join(names, " and "));
      }
    checks.push_back(value_check(Rule::outputs, report.amplifier[u], doubled.empty(), {},
                                 doubled.empty()
                                     ? fmt::format("{}: {} of {} channels used, {} spare",
                                                   report.amplifier[u], used.size(), channels, spare)
                                     : fmt::format("{}: used twice: {}", report.amplifier[u], doubled)));
  }
}

void judge_processor(const Scene& scene, const SystemReport& report, std::vector<Check>& checks) {
  if (!scene.system.processor) return;
  std::map<int, std::vector<std::size_t>> by_output;
  for (std::size_t c = 0; c < report.feed.size(); ++c) {
    if (report.feed[c].processor_output > 0) {
      by_output[report.feed[c].processor_output].push_back(c);
      continue;
    }
    checks.push_back(value_check(Rule::processor_output, scene.channels[c].name, false, {},
                                 fmt::format("{}: no processor output is free: all {} are in use",
                                             scene.channels[c].name, scene.system.processor->outputs)));
  }
  for (const auto& [output, channels] : by_output)
    for (std::size_t i = 1; i < channels.size(); ++i)
      for (const Preset& preset : scene.presets) {
        if (preset.channels[channels[0]] == preset.channels[channels[i]]) continue;
        checks.push_back(value_check(Rule::processor_output, scene.channels[channels[i]].name, false, {},
                                     fmt::format("{} and {} share processor output {}, but their settings "
                                                 "differ in preset {}: make them equal, or use two outputs",
                                                 scene.channels[channels[0]].name,
                                                 scene.channels[channels[i]].name, output, preset.name)));
        break;
      }
  checks.push_back(value_check(
      Rule::outputs, "processor", true, {},
      fmt::format("processor: {} of {} outputs used, {} spare", by_output.size(),
                  scene.system.processor->outputs,
                  std::max(0, scene.system.processor->outputs - static_cast<int>(by_output.size())))));
}

}  // namespace

void judge_channels(const Scene& scene, const std::vector<ChannelLoad>& loads, SystemReport& report,
                    std::vector<Check>& checks) {
  for (std::size_t c = 0; c < scene.channels.size(); ++c) {
    const ChannelFeed& feed = scene.system.feeds[c];
    FeedRow row;
    row.amplifier = feed.output > 0 ? feed.amplifier : -1;
    row.output = feed.output;
    row.bridged_with = feed.bridged_with;
    row.processor_output = feed.processor_output;
    row.load_ohm = loads[c].least.modulus_ohm;
    row.load_hz = loads[c].least.frequency_hz;
    row.wanted_w = loads[c].wanted_w;
    report.feed.push_back(row);
  }
  const Taken named = taken_outputs(scene);
  propose(scene, loads, named, report);
  propose_processor(scene, report);
  for (std::size_t c = 0; c < report.feed.size(); ++c) {
    FeedRow& row = report.feed[c];
    if (row.amplifier >= 0 && !loads[c].load_ohm.empty())
      row.power_w = greatest_power_w(loads[c], scene.system.amplifiers[row.amplifier].amplifier,
                                     row.bridged_with > 0, 13.8);
    if (!scene.system.amplifiers.empty()) row.why = reason(scene, loads[c], row);
  }
  if (!scene.system.amplifiers.empty()) judge_amplifiers(scene, named, report, checks);
  judge_processor(scene, report, checks);
}

}  // namespace cabinfield
