#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "base/constants.h"
#include "summary.h"
#include "summary_words.h"
#include "terminal.h"

namespace cabinfield::command {
namespace {

/// Path-length differences that are good, and that need delay (common practice, no source).
constexpr double good_difference_m = 0.150, delay_difference_m = 0.300;

std::string brief(const Scene& scene) {
  std::string text = (scene.title.empty() ? "(no title)" : scene.title) + "\n";
  std::vector<std::string> parts;
  if (!scene.brief.listen.empty())
    parts.push_back(fmt::format("listening at {}", fmt::join(scene.brief.listen, ", ")));
  if (scene.brief.level_db) parts.push_back(fmt::format("{:.0f} dB", *scene.brief.level_db));
  if (!scene.brief.keep.empty()) parts.push_back(fmt::format("keep {}", fmt::join(scene.brief.keep, ", ")));
  if (!parts.empty()) text += fmt::format("Brief: {}\n", fmt::join(parts, "; "));
  return text;
}

std::string fit(const Scene& scene, const std::vector<Check>& checks) {
  std::string text;
  std::map<std::string, std::map<Rule, const Check*>> by_driver;
  for (const Check& check : checks) {
    // Those of the system plan are printed with it.
    if (!is_of_driver(check.rule)) continue;
    if (check.outcome == Outcome::violated) text += fmt::format("  DOES NOT HOLD  {}\n", check.words);
    if (check.outcome == Outcome::caution) text += fmt::format("  TIGHT          {}\n", check.words);
    by_driver[check.subject][check.rule] = &check;
  }
  TextTable table({"driver", "hole", "depth"}, " rr");
  auto margin = [&](const std::string& driver, Rule rule) {
    const auto found = by_driver[driver].find(rule);
    return found == by_driver[driver].end() ? std::string("?")
                                            : fmt::format("{:+.0f} mm", found->second->margin->value * 1000);
  };
  bool unknown = false, known = false;
  for (const MountedDriver& driver : scene.drivers) {
    const std::string hole = margin(driver.name, Rule::hole),
                      depth = margin(driver.name, Rule::mounting_depth);
    known = known || hole != "?" || depth != "?";
    unknown = unknown || hole == "?" || depth == "?";
    table.add({driver.name, hole, depth});
  }
  if (table.empty()) return "";
  if (!known)
    return "\nFit: unknown; give each driver's opening: {cutout, depth} (of the panel or of the "
           "pod) and its model's mounting\n" +
           text;
  return "\nFit (margins)\n" + text + table.text() +
         (unknown ? "  ?: unknown; give the driver's opening: {cutout, depth} (of the panel or of the pod) "
                    "and its model's mounting\n"
                  : "");
}

std::string differences(const Scene& scene, const Results& results, const std::vector<int>& seats) {
  TextTable table({"seat", "left and right", "difference", "", ""}, "  rr ");
  for (int s : seats)
    for (std::size_t d = 0; d < scene.drivers.size(); ++d) {
      const MountedDriver& driver = scene.drivers[d];
      const auto other = std::find_if(scene.drivers.begin(), scene.drivers.end(),
                                      [&](const MountedDriver& p) { return p.name == driver.pair; });
      if (other == scene.drivers.end() || driver.source.position.y() > other->source.position.y()) continue;
      const auto o = static_cast<std::size_t>(other - scene.drivers.begin());
      const double difference = head_length_m(results, s, d) - head_length_m(results, s, o);
      const char* nearer = std::abs(difference) < 0.005 ? ""
                           : difference < 0             ? "left nearer"
                                                        : "right nearer";
      const double size = std::abs(difference);
      const char* verdict = size < good_difference_m    ? "good"
                            : size > delay_difference_m ? "needs delay"
                                                        : "fair";
      table.add({scene.seats[s].name, driver.name + " / " + other->name, rounded_mm(size) + " mm",
                 rounded_ms(size / scene.air.sound_speed_m_s) + " ms",
                 fmt::format("{}{}{}", nearer, *nearer ? ", " : "", verdict)});
    }
  if (table.empty()) return "";
  return "\nPath-length difference, left against right (under 150 mm good, over 300 mm needs delay: common "
         "practice)\n" +
         table.text();
}

std::string blocked_words(double detour_m) {
  return detour_m < 0.005 ? "barely blocked; detour under 5 mm"
                          : fmt::format("blocked; detour {} mm", rounded_mm(detour_m));
}

std::string distances(const Scene& scene, const Results& results, const std::vector<int>& seats) {
  TextTable table(
      {"seat", "driver", "distance", "arrival", "to the side", "eye line", "off axis", "straight line"},
      "  rrrrr ");
  for (int s : seats)
    for (std::size_t d = 0; d < scene.drivers.size(); ++d) {
      const int free = results.direct(s, 0, d) + results.direct(s, 1, d);
      const double straight =
          (scene.seats[s].head - scene.drivers[d].source.position).norm() + scene.drivers[d].source.setback_m;
      const double detour = head_length_m(results, s, d) - straight;
      // Without a path round, the straight line is given.
      const auto stands_for_way = [&](std::size_t e) {
        const Source& source = scene.drivers[d].source;
        const double line_m = (scene.seats[s].ear[e] - source.position).norm() + source.setback_m;
        return results.direct(s, e, d) == 0 && std::abs(results.path_length_m(s, e, d) - line_m) < 1e-9;
      };
      const bool no_way = stands_for_way(0) && stands_for_way(1);
      const std::string line =
          !scene.cabin ? "no cabin"
          : free == 2  ? "free"
          : free == 1  ? fmt::format("free to the {} ear only", results.direct(s, 0, d) ? "left" : "right")
          : no_way     ? "shut off: only through partitions"
                       : blocked_words(detour);
      table.add({scene.seats[s].name, scene.drivers[d].name, rounded_mm(head_length_m(results, s, d)) + " mm",
                 rounded_ms(head_arrival_s(results, s, d)) + " ms", side_words(results.angle_deg(s, d, 0)),
                 height_words(results.angle_deg(s, d, 1)), fmt::format("{:.0f}°", results.angle_deg(s, d, 2)),
                 line});
    }
  if (table.empty()) return "";
  return "\nEach driver from the listener's head\n" + table.text() +
         (scene.cabin ? "" : "  free-field arrivals: no cabin\n");
}

std::string holes(const Scene& scene) {
  if (scene.marks.empty() || scene.drivers.empty()) return "";
  std::set<std::string> taped;
  for (const Tape& tape : scene.tapes) taped.insert({tape.from, tape.to});
  TextTable table({"driver", "nearest marks"});
  bool untaped = false;
  for (const MountedDriver& driver : scene.drivers) {
    std::vector<std::pair<double, std::string>> far;
    for (const Mark& mark : scene.marks)
      far.emplace_back((mark.position - driver.source.position).norm(), mark.name);
    std::sort(far.begin(), far.end());
    std::string text;
    for (std::size_t i = 0; i < std::min<std::size_t>(3, far.size()); ++i) {
      const bool guessed = !taped.contains("marks." + far[i].second);
      untaped = untaped || guessed;
      text += fmt::format("{}{:.0f} mm from {}{}", i > 0 ? ", " : "", far[i].first * 1000, far[i].second,
                          guessed ? " *" : "");
    }
    table.add({driver.name, text});
  }
  return "\nHole positions (straight lines from the centre of the driver, as drawn)\n" + table.text() +
         (untaped ? "  *: do not drill from this mark: no line of `tape:` reaches it, so its position in the "
                    "car is "
                    "unknown\n"
                  : "");
}

std::string tapes(const Scene& scene) {
  TextTable table({"from", "to", "taped", "drawn", "error"}, "  rrr");
  for (const Tape& tape : scene.tapes)
    table.add({tape.from, tape.to, fmt::format("{:.0f} mm", tape.taped_m * 1000),
               fmt::format("{:.0f} mm", tape.drawn_m * 1000),
               fmt::format("{:+.0f} mm", (tape.drawn_m - tape.taped_m) * 1000)});
  return table.empty() ? "" : "\nTapes\n" + table.text();
}

}  // namespace

bool any_violated(const std::vector<Check>& checks) {
  return std::any_of(checks.begin(), checks.end(),
                     [](const Check& check) { return check.outcome == Outcome::violated; });
}

std::string plan_summary(const Scene& scene, const Results& results, bool all) {
  std::vector<int> seats = listening_seats(scene);
  if (all) {
    seats.clear();
    for (std::size_t s = 0; s < scene.seats.size(); ++s) seats.push_back(static_cast<int>(s));
  }
  std::string text = brief(scene);
  if (scene.cabin)
    text += fmt::format("Cabin: {:.2f} m3 of air, {} surfaces\n", scene.cabin->air_volume_m3(),
                        scene.cabin->surfaces().size());
  text += fit(scene, results.checks);
  text += differences(scene, results, seats);
  text += distances(scene, results, seats);
  text += holes(scene);
  if (all) text += tapes(scene);
  for (const auto& [head, lines] :
       {std::pair{"Adjustments made", &scene.notes}, {"Not answered", &scene.skipped}}) {
    if (lines->empty()) continue;
    text += fmt::format("\n{}\n", head);
    for (const std::string& line : *lines) text += "  " + line + "\n";
  }
  return text;
}

}  // namespace cabinfield::command
