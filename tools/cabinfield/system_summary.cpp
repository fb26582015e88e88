#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "plan/channel_load.h"
#include "summary.h"
#include "system/channel_assignment.h"
#include "terminal.h"

namespace cabinfield::command {
namespace {

std::string rules(const std::vector<Check>& checks, bool all) {
  std::string text;
  for (const Check& check : checks) {
    if (is_of_driver(check.rule) || is_caution(check.rule)) continue;
    if (check.outcome == Outcome::violated) text += fmt::format("  DOES NOT HOLD  {}\n", check.words);
    if (check.outcome == Outcome::caution) text += fmt::format("  TIGHT          {}\n", check.words);
    if (check.outcome == Outcome::met && all) text += fmt::format("  holds          {}\n", check.words);
  }
  return text.empty() ? "" : "\nThe rest of the system\n" + text;
}

std::string cautions(const std::vector<Check>& checks) {
  std::string text;
  for (const Check& check : checks)
    // The hearing caution is printed beside the level.
    if (is_caution(check.rule) && check.rule != Rule::hearing) text += "  " + check.words + "\n";
  return text.empty() ? "" : "\nCautions\n" + text;
}

std::string output_words(const SystemReport& report, const FeedRow& row) {
  if (row.amplifier < 0) return "-";
  const std::string& unit = report.amplifier[static_cast<std::size_t>(row.amplifier)];
  return row.bridged_with > 0 ? fmt::format("{} {}+{}", unit, row.output, row.bridged_with)
                              : fmt::format("{} {}", unit, row.output);
}

std::string outputs(const Scene& scene, const SystemReport& report) {
  if (report.amplifier.empty()) return "";
  TextTable table({"channel", "output", "lowest load", "at", "sine power", "usable", ""}, "  rrrr ");
  for (std::size_t c = 0; c < report.feed.size(); ++c) {
    const FeedRow& row = report.feed[c];
    table.add({scene.channels[c].name, output_words(report, row), fmt::format("{:.1f} ohm", row.load_ohm),
               fmt::format("{:.0f} Hz", row.load_hz),
               row.amplifier < 0 ? "-" : fmt::format("{:.0f} W", row.power_w),
               fmt::format("{:.0f} W", row.wanted_w),
               row.amplifier < 0 ? report.amplifier.size() > most_assigned_units ? "open" : "missing"
               : row.proposed    ? "proposed"
                                 : ""});
  }
  return table.empty() ? ""
                       : "\nOutputs (usable: power that the drivers can use for the level in the brief)\n" +
                             table.text();
}

std::string proposal(const Scene& scene, const SystemReport& report) {
  std::string text;
  for (std::size_t c = 0; c < report.feed.size(); ++c) {
    const FeedRow& row = report.feed[c];
    const bool open_output = scene.system.feeds[c].processor_output == 0 && row.processor_output > 0;
    if (!row.proposed && !open_output) continue;
    text += fmt::format("  {}:\n", scene.channels[c].name);
    if (row.proposed && row.amplifier >= 0)
      text += fmt::format("    amplifier: {{unit: {}, channel: {}{}}}   # {}\n",
                          report.amplifier[static_cast<std::size_t>(row.amplifier)], row.output,
                          row.bridged_with > 0 ? fmt::format(", bridged_with: {}", row.bridged_with) : "",
                          row.why);
    else if (row.proposed && !report.amplifier.empty())
      text += fmt::format("    # no amplifier output: {}\n", row.why);
    if (open_output) text += fmt::format("    processor_output: {}\n", row.processor_output);
  }
  return "\nProposed\n" +
         (text.empty() ? "  nothing: the scene leaves no output open, or has no amplifiers\n" : text);
}

std::string wiring(const Scene& scene, const SystemReport& report, bool all) {
  TextTable table({"channel", "wiring", "nominal", "lowest load", "each driver", ""}, "  rrr ");
  for (const WiringRow& row : report.wiring) {
    const auto ways = std::count_if(report.wiring.begin(), report.wiring.end(),
                                    [&](const WiringRow& other) { return other.channel == row.channel; });
    if (ways < 2 && !all) continue;
    table.add(
        {scene.channels[row.channel].name, row.words,
         row.nominal_ohm > 0 ? fmt::format("{:.2g} ohm", row.nominal_ohm) : "?",
         fmt::format("{:.1f} ohm", row.least_ohm),
         row.driven ? fmt::format("{:.0f} W", row.power_each_w) : "not driven",
         fmt::format("{}{}", row.chosen ? "chosen" : "", row.best ? (row.chosen ? ", best" : "best") : "")});
  }
  return table.empty() ? "" : "\nWiring of coils and drivers\n" + table.text();
}

std::string supply(const SystemReport& report, double crest_db) {
  if (report.load_case.empty()) return "";
  std::string text = "\nSupply\n";
  TextTable units({"", "music", "full bass", "full sine", "V at full bass", "alternator off"}, " rrrrr");
  auto at = [](LoadCase of) { return static_cast<std::size_t>(of); };
  for (std::size_t a = 0; a < report.amplifier.size(); ++a)
    units.add({report.amplifier[a],
               fmt::format("{:.0f} A", report.amplifier_a(at(LoadCase::music_running), a)),
               fmt::format("{:.0f} A", report.amplifier_a(at(LoadCase::bass_running), a)),
               fmt::format("{:.0f} A", report.amplifier_a(at(LoadCase::full_running), a)),
               fmt::format("{:.1f} V", report.amplifier_v(at(LoadCase::bass_running), a)),
               fmt::format("{:.1f} V", report.amplifier_v(at(LoadCase::bass_off), a))});
  text += units.text();
  TextTable batteries({"battery gives", "music", "full bass", "alternator off", "music, engine off", ""},
                      " rrrr ");
  for (std::size_t b = 0; b < report.battery.size(); ++b) {
    std::string opens;
    for (std::size_t l = 0; l < report.load_case.size(); ++l)
      if (report.battery_opens(l, b) != 0) opens += (opens.empty() ? "opens: " : "; ") + report.load_case[l];
    batteries.add({report.battery[b],
                   fmt::format("{:.0f} A", report.battery_a(at(LoadCase::music_running), b)),
                   fmt::format("{:.0f} A", report.battery_a(at(LoadCase::bass_running), b)),
                   fmt::format("{:.0f} A", report.battery_a(at(LoadCase::bass_off), b)),
                   fmt::format("{:.0f} A", report.battery_a(at(LoadCase::music_off), b)), opens});
  }
  text += batteries.text();
  TextTable cables({"cable", "music", "full bass", "drop", "copper", "for 3 % drop", "or", "fuse"},
                   " rrrrrrr");
  for (std::size_t k = 0; k < report.cable.size(); ++k)
    cables.add({report.cable[k],
                fmt::format("{:.0f} A", std::abs(report.cable_a(at(LoadCase::music_running), k))),
                fmt::format("{:.0f} A", std::abs(report.cable_a(at(LoadCase::bass_running), k))),
                fmt::format("{:.2f} V", report.cable_drop_v(at(LoadCase::bass_running), k)),
                fmt::format("{:.0f} °C", report.cable_c[k]),
                report.cable_least_metric[k].empty() ? "none" : report.cable_least_metric[k],
                report.cable_least_gauge[k].empty() ? "none" : report.cable_least_gauge[k],
                report.cable_fuse_a[k] > 0 ? fmt::format("{:g} A", report.cable_fuse_a[k]) : "none"});
  if (!cables.empty()) text += cables.text();
  text += fmt::format(
      "  full bass: a full-scale sine of {:.0f} Hz or below on every channel that lets it through in any "
      "preset, for "
      "minutes; cables and fuses are sized for it\n  music: crest factor {:.0f} dB; heat and playing time "
      "follow it\n",
      highest_bass_hz, crest_db);
  if (report.playing_hours > 0)
    text += fmt::format("  engine off, music plays for {:.1f} h down to the allowed depth of discharge\n",
                        report.playing_hours);
  return text;
}

std::string signal(const Scene& scene) {
  if (!scene.system.processor) return "";
  const Processor& processor = *scene.system.processor;
  std::string text = "\nSignal: " + processor.model_name;
  if (processor.sample_rate_hz > 0) text += fmt::format(", {:g} kHz", processor.sample_rate_hz / 1000);
  if (processor.latency_s > 0) text += fmt::format(", latency {:.1f} ms", processor.latency_s * 1000);
  text += "\n";
  TextTable table({"input", "from", "kind", "band", "to undo"}, "     ");
  static const char* const kinds[] = {"speaker", "line", "digital"};
  for (const ProcessorInput& input : processor.feeds) {
    std::string shaped = fmt::format("{}", fmt::join(input.shaped, ", "));
    std::replace(shaped.begin(), shaped.end(), '_', ' ');
    table.add({input.name, input.from, kinds[static_cast<int>(input.kind)],
               fmt::format("{:g} Hz to {:g} Hz", input.low_hz, input.high_hz), shaped});
  }
  return text + (table.empty() ? "" : table.text());
}

std::string space(const SystemReport& report) {
  if (!(report.total_kg > 0)) return "";
  return fmt::format("\nLoad space: {:.0f} kg{}\n", report.total_kg,
                     report.front_kg + report.rear_kg > 0
                         ? fmt::format(", {:.0f} kg on the front axle, {:.0f} kg on the rear",
                                       report.front_kg, report.rear_kg)
                         : "");
}

}  // namespace

std::string system_summary(const Scene& scene, const Results& results, bool all, bool propose) {
  const SystemReport& report = results.system;
  std::string text = rules(results.checks, all) + signal(scene) + outputs(scene, report);
  if (propose) text += proposal(scene, report);
  return text + wiring(scene, report, all) + supply(report, scene.system.crest_db) + space(report) +
         cautions(results.checks);
}

}  // namespace cabinfield::command
