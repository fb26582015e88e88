#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "summary.h"
#include "summary_words.h"
#include "system/loudness.h"
#include "terminal.h"

namespace cabinfield::command {
namespace {

/// Limits of a sine over the band within 10 dB of the channel's loudest, in words:
/// "excursion 20 to 45 Hz, amplifier voltage to 80 Hz".
std::string sine_limits(const Results& results, std::size_t p, std::size_t c, std::size_t s) {
  const auto& frequency = results.frequency_hz;
  const double* level = results.limits.sine_db.row(p, c, s);
  const double loudest = *std::max_element(level, level + frequency.size());
  std::string text;
  int before = -1;
  for (std::size_t f = 0; f < frequency.size(); ++f) {
    if (level[f] < loudest - 10) continue;
    const int kind = results.limits.sine_kind(p, c, f);
    if (kind == before) continue;
    text +=
        fmt::format("{}{} from {}", text.empty() ? "" : ", ",
                    results.limits.kind[static_cast<std::size_t>(kind)], readable_frequency(frequency[f]));
    before = kind;
  }
  return text;
}

std::string hours_words(double hours) {
  return hours >= 24        ? "all day"
         : hours >= 1       ? fmt::format("{:.0f} h", hours)
         : hours < 1.0 / 60 ? "under a minute"
                            : fmt::format("{:.0f} min", 60 * hours);
}

}  // namespace

std::string loudest_summary(const Scene& scene, const Results& results, int preset, bool all) {
  const LimitReport& limits = results.limits;
  if (limits.kind.empty() || results.system.amplifier.empty()) return "";
  const auto p = static_cast<std::size_t>(preset);
  std::vector<int> seats = listening_seats(scene);
  if (all) {
    seats.clear();
    for (std::size_t s = 0; s < scene.seats.size(); ++s) seats.push_back(static_cast<int>(s));
  }
  if (seats.empty()) return "";
  const auto first = static_cast<std::size_t>(seats.front());
  TextTable channels({"channel", "music", "limit", "loudest sine", "limited by"}, " r r ");
  for (std::size_t c = 0; c < scene.channels.size(); ++c) {
    if (scene.presets[p].channels[c].mute) continue;
    std::vector<double> music(limits.music_db.row(p, c, first),
                              limits.music_db.row(p, c, first) + limits.third_octave_hz.size());
    const double* sine = limits.sine_db.row(p, c, first);
    channels.add({scene.channels[c].name,
                  whole_db(weighted_sum_db(music, limits.third_octave_hz, Weighting::none)) + " dB",
                  limits.kind[static_cast<std::size_t>(limits.music_kind(p, c))],
                  whole_db(*std::max_element(sine, sine + results.frequency_hz.size())) + " dB",
                  sine_limits(results, p, c, first)});
  }
  TextTable together({"seat", "A-weighted", "C-weighted", "safe exposure"}, " rrr");
  for (int s : seats)
    together.add({scene.seats[s].name, whole_db(limits.system_music_a_db(p, s)) + " dB",
                  whole_db(limits.system_music_c_db(p, s)) + " dB",
                  hours_words(limits.hours(p, s)) + " a day"});
  const int weakest = limits.system_music_channel[p];
  std::string text =
      fmt::format("\nMaximum level before a limit, preset {}: each channel alone, at seat {}\n",
                  results.preset[p], scene.seats[first].name);
  text += channels.text();
  text += fmt::format(
      "All channels, sustained music of {:.0f} dB crest factor (not a typical level); first limit: {}{}\n",
      scene.system.crest_db, limits.kind[static_cast<std::size_t>(limits.system_music_kind[p])],
      weakest < 0 ? "" : " of " + scene.channels[weakest].name);
  text += together.text();
  for (const Check& check : results.checks)
    if (check.rule == Rule::hearing) text += "  " + check.words + "\n";
  return text;
}

}  // namespace cabinfield::command
