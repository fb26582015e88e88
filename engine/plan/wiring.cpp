// The possible wirings of each channel's coils, and whether its amplifier drives the chosen one.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "plan/judge_system.h"

namespace cabinfield {
namespace {

/// Better: driven, more power that the driven coils can use, then the higher load.
bool better_way(const WiringRow& one, double one_w, const WiringRow& other, double other_w) {
  if (one.driven != other.driven) return one.driven;
  if (std::abs(one_w - other_w) > 0.01 * std::max(one_w, other_w)) return one_w > other_w;
  return one.least_ohm > other.least_ohm * (1 + 1e-9);
}

}  // namespace

void judge_wiring(const Scene& scene, const std::vector<ChannelLoad>& loads, SystemReport& report,
                  std::vector<Check>& checks) {
  for (std::size_t c = 0; c < scene.channels.size(); ++c) {
    const FeedRow& feed = report.feed[c];
    if (loads[c].load_ohm.empty()) continue;
    const Amplifier* amplifier =
        feed.amplifier < 0 ? nullptr : &scene.system.amplifiers[feed.amplifier].amplifier;
    const bool bridged = feed.bridged_with > 0;
    const auto& drivers = scene.channels[c].drivers;
    const double rating_w = scene.drivers[drivers.front()].power_w.value_or(1e9);
    const int coils = scene.drivers[drivers.front()].coils;
    std::string best_words;
    double best_w = 0;
    int best = -1;
    const std::size_t first = report.wiring.size();
    for (const WayLoad& way : way_loads(scene, static_cast<int>(c), loads[c])) {
      WiringRow row;
      row.channel = static_cast<int>(c);
      row.words = way.way.words();
      row.nominal_ohm = way.nominal_ohm;
      row.least_ohm = way.least.modulus_ohm;
      row.least_hz = way.least.frequency_hz;
      row.chosen = way.chosen;
      row.driven = amplifier != nullptr && drives(*amplifier, bridged, row.least_ohm);
      if (row.driven)
        row.power_each_w =
            power_into_w(*amplifier, bridged, row.least_ohm, 13.8) / static_cast<double>(drivers.size());
      report.wiring.push_back(row);
      // One coil of several takes its share of the rating.
      const bool one_coil = coils > 1 && way.way.coils == CoilConnection::single;
      const double usable_w = std::min(row.power_each_w, rating_w / (one_coil ? coils : 1));
      if (row.driven &&
          (best < 0 || better_way(row, usable_w, report.wiring[static_cast<std::size_t>(best)], best_w))) {
        best = static_cast<int>(report.wiring.size()) - 1;
        best_w = usable_w;
      }
    }
    if (best >= 0) {
      report.wiring[static_cast<std::size_t>(best)].best = true;
      best_words = report.wiring[static_cast<std::size_t>(best)].words;
    }
    if (amplifier == nullptr) continue;
    const double least =
        least_modulus_part * (bridged ? amplifier->least_bridged_ohm : amplifier->least_load_ohm);
    const double load = loads[c].least.modulus_ohm;
    const bool holds = drives(*amplifier, bridged, load);
    std::string words = fmt::format(
        "{}: its lowest load is {:.2f} ohm at {:.0f} Hz; {} drives {:.2f} ohm and above ({:g} ohm nominal{})",
        scene.channels[c].name, load, loads[c].least.frequency_hz,
        report.amplifier[static_cast<std::size_t>(feed.amplifier)], least,
        bridged ? amplifier->least_bridged_ohm : amplifier->least_load_ohm, bridged ? ", bridged" : "");
    if (!holds)
      words += best >= 0                      ? fmt::format("; {} works", best_words)
               : report.wiring.size() > first ? "; no wiring of its coils works"
                                              : "; its drivers differ, so no other wiring was tried";
    checks.push_back(
        value_check(Rule::load, scene.channels[c].name, holds, Margin{load - least, MarginUnit::ohm}, words));
  }
}

}  // namespace cabinfield
