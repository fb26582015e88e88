#include "study_summary.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "listening/contributions.h"
#include "listening/measure_kinds.h"
#include "study/placement_map_order.h"
#include "terminal.h"

namespace cabinfield::command {
namespace {

constexpr std::size_t rows_shown = 12, impossible_shown = 8, spots_shown = 5;

std::string number(double value, std::string_view unit) {
  if (std::isnan(value)) return "-";
  return unit == "mm" || unit == "deg" || unit == "%" ? fmt::format("{:.0f}", value)
                                                      : fmt::format("{:.1f}", value);
}

/// "78.2 (76.9 to 79.8)"; the range only where there are samples.
std::string with_doubt(double value, const SampleBand* band, std::string_view unit) {
  std::string words = number(value, unit);
  if (band != nullptr && band->known > 0)
    words += fmt::format(" ({} to {})", number(band->low, unit), number(band->high, unit));
  return words;
}

std::string ranking_table(const Study& study, const StudyOutcome& outcome, bool all) {
  std::vector<std::string> heads{"", "variant", "no.", "points"};
  std::string right = "r rr";
  for (const StudyMeasure& measure : study.judge) {
    const auto& declared = declaration_of(measure.options.kind);
    heads.push_back(fmt::format("{} [{}]", measure.name, declared.unit));
    right += 'r';
  }
  if (outcome.samples > 0) {
    heads.insert(heads.end(), {"best in", "beats as drawn in"});
    right += "rr";
  }
  heads.push_back("");
  TextTable table(heads, right);
  const auto present = study.present_variant();
  const std::size_t m = study.judge.size();
  auto add = [&](std::size_t rank, std::uint64_t variant) {
    const auto found = std::find_if(outcome.leading.begin(), outcome.leading.end(),
                                    [&](const LeadingVariant& one) { return one.variant == variant; });
    const LeadingVariant* const closely = found == outcome.leading.end() ? nullptr : &*found;
    std::vector<std::string> row{std::to_string(rank + 1), study.label(variant), std::to_string(variant),
                                 number(outcome.score[variant].points, "")};
    for (std::size_t k = 0; k < m; ++k)
      row.push_back(with_doubt(outcome.value[variant * m + k],
                               closely != nullptr && k < closely->value.size() ? &closely->value[k] : nullptr,
                               declaration_of(study.judge[k].options.kind).unit));
    if (outcome.samples > 0) {
      const auto share = [&](std::size_t times) {
        return fmt::format("{:.0f} %",
                           100.0 * static_cast<double>(times) / static_cast<double>(outcome.samples));
      };
      row.push_back(closely != nullptr ? share(closely->times_best) : "-");
      row.push_back(closely != nullptr && closely->times_better ? share(*closely->times_better) : "-");
    }
    std::string words = present && *present == variant ? "as drawn" : "";
    if (outcome.score[variant].broken > 0)
      words += fmt::format("{}{} limit{} broken", words.empty() ? "" : ", ", outcome.score[variant].broken,
                           outcome.score[variant].broken > 1 ? "s" : "");
    row.push_back(words);
    table.add(std::move(row));
  };
  const std::size_t shown = all ? outcome.ranking.size() : std::min(rows_shown, outcome.ranking.size());
  for (std::size_t r = 0; r < shown; ++r) add(r, outcome.ranking[r]);
  if (present)
    for (std::size_t r = shown; r < outcome.ranking.size(); ++r)
      if (outcome.ranking[r] == *present) add(r, *present);
  std::string text = table.text();
  if (outcome.samples > 0)
    text += fmt::format("  In brackets: the range of 8 in 10 of the {} samples of the uncertain values.\n",
                        outcome.samples);
  if (shown < outcome.ranking.size())
    text +=
        fmt::format("  {} more variants in the file; --all prints them.\n", outcome.ranking.size() - shown);
  return text;
}

/// "channel adds …" of one variant, at every seat.
std::string contribution_lines(const Study& study, const LeadingVariant& one) {
  std::string text;
  const auto& seats = study.present.scene->seats;
  for (std::size_t c = 0; c < one.channel.size(); ++c)
    for (std::size_t s = 0; s < seats.size(); ++s) {
      const auto runs = contribution_runs(one.contributions, c, s);
      if (const auto line = contribution_line(one.channel[c], seats[s].name, runs))
        text += "  " + *line + "\n";
    }
  return text;
}

std::string placement_map_lines(const Study& study, const PlacementMap& placement_map) {
  const StudyMeasure& measure = study.placement_map->judge_by;
  const auto& declared = declaration_of(measure.options.kind);
  const std::vector<std::size_t> order = best_points_first(*study.placement_map, placement_map);
  std::string text =
      fmt::format("\nPlacement map: {} with {} at each point of {}: {} points, {} of them possible\n",
                  measure.name, study.placement_map->points.driver, study.placement_map->surface,
                  placement_map.value.size(), order.size());
  if (order.empty()) return text;
  TextTable table({"", "position (m)", fmt::format("{} [{}]", measure.name, declared.unit)}, "r r");
  for (std::size_t r = 0; r < std::min(spots_shown, order.size()); ++r)
    table.add({std::to_string(r + 1), point_label(placement_map.point_m[order[r]]),
               number(placement_map.value[order[r]], declared.unit)});
  text += table.text();
  text += fmt::format("  Worst point: {} at {}.\n", number(placement_map.value[order.back()], declared.unit),
                      point_label(placement_map.point_m[order.back()]));
  return text;
}

}  // namespace

std::string study_summary(const Study& study, const StudyOutcome& outcome, bool all) {
  std::string text =
      fmt::format("{}\n{} variants of {}", study.title, outcome.score.size(), study.scene_path);
  if (outcome.cabins_solved > 0)
    text += fmt::format(", {} cabin{} solved", outcome.cabins_solved, outcome.cabins_solved == 1 ? "" : "s");
  text += "\n\n";
  if (outcome.ranking.empty())
    text += "No variant can be judged.\n";
  else
    text += ranking_table(study, outcome, all);
  for (const LeadingVariant& one : outcome.leading)
    if (!one.broken.empty() && (all || &one == &outcome.leading.front())) {
      text += fmt::format("\nLimits that {} breaks:\n", one.label);
      for (const std::string& words : one.broken) text += "  " + words + "\n";
    }
  // The scene as drawn if it was judged, else the best variant; the file has the others.
  const auto present = study.present_variant();
  const auto drawn =
      std::find_if(outcome.leading.begin(), outcome.leading.end(),
                   [&](const LeadingVariant& one) { return present && one.variant == *present; });
  for (std::size_t i = 0; i < outcome.leading.size(); ++i) {
    const LeadingVariant& one = outcome.leading[i];
    const bool is_drawn = drawn != outcome.leading.end() && &one == &*drawn;
    if (!all && !(drawn != outcome.leading.end() ? is_drawn : i == 0)) continue;
    const std::string lines = contribution_lines(study, one);
    if (!lines.empty())
      text += fmt::format("\nWhat each channel adds to the mono sum, {}:\n{}",
                          is_drawn ? "as drawn" : one.label, lines);
  }
  if (outcome.placement_map) text += placement_map_lines(study, *outcome.placement_map);
  if (!outcome.impossible.empty()) {
    text += fmt::format("\n{} variant{} impossible, left out:\n", outcome.impossible.size(),
                        outcome.impossible.size() > 1 ? "s are" : " is");
    const std::size_t shown =
        all ? outcome.impossible.size() : std::min(impossible_shown, outcome.impossible.size());
    for (std::size_t i = 0; i < shown; ++i)
      text += fmt::format("  {} ({}): {}\n", outcome.impossible[i].variant,
                          study.label(outcome.impossible[i].variant), outcome.impossible[i].why);
    if (shown < outcome.impossible.size())
      text += fmt::format("  and {} more\n", outcome.impossible.size() - shown);
  }
  return text;
}

}  // namespace cabinfield::command
