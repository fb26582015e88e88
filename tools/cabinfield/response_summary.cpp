#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "listening/arrival.h"
#include "listening/bands.h"
#include "summary.h"
#include "summary_words.h"
#include "terminal.h"

namespace cabinfield::command {
namespace {

struct Range {
  double low_hz, high_hz;
};
constexpr Range share_ranges[] = {{40, 80}, {80, 250}, {250, 2500}};

/// Mean power of the two ears over a band; empty if the frequencies do not cover it.
std::optional<double> band(const Results& results, const Table<Complex, 5>& pressure, std::size_t p,
                           std::size_t row, std::size_t seat, double low_hz, double high_hz) {
  const auto square = mean_square_of_ears(pressure.row(p, row, seat, 0), pressure.row(p, row, seat, 1),
                                          results.frequency_hz.size());
  return band_mean_square(results.frequency_hz, square, low_hz, high_hz);
}

/// Whole dB; a level far below the noise in a car is not worth a number.
std::string level_words(double mean_square_pa2) {
  constexpr double inaudible_db = 20;
  const double level_db = sound_level_db(mean_square_pa2);
  return level_db < inaudible_db ? "< 20 dB" : whole_db(level_db) + " dB";
}

std::string left_against_right(const Scene& scene, const Results& results, std::size_t preset,
                               const std::vector<int>& seats) {
  const auto bands = third_octave_bands(300, 8000);
  std::vector<std::string> heads{"seat"};
  for (const Band& b : bands)
    heads.push_back(b.label.ends_with(" kHz") ? b.label.substr(0, b.label.size() - 4) + "k"
                                              : b.label.substr(0, b.label.size() - 3));
  TextTable table(heads, " " + std::string(bands.size(), 'r'));
  bool any = false;
  // If every channel is mono, left and right are the same.
  for (const ChannelSettings& settings : scene.presets[preset].channels)
    any = any || settings.signal.left != settings.signal.right;
  if (!any) return "";
  any = false;
  for (int s : seats) {
    std::vector<std::string> row{scene.seats[s].name};
    for (const Band& b : bands) {
      const auto left = band(results, results.signal_pa, preset, 0, s, b.low_hz, b.high_hz),
                 right = band(results, results.signal_pa, preset, 1, s, b.low_hz, b.high_hz);
      const bool heard = left && right && *left > 0 && *right > 0;
      any = any || heard;
      row.push_back(heard ? signed_db(10 * std::log10(*left / *right)) : "-");
    }
    table.add(row);
  }
  return any ? fmt::format("\nLeft against right by third octave, Hz, dB (+: left louder), preset {}\n",
                           results.preset[preset]) +
                   table.text()
             : "";
}

std::string shares(const Scene& scene, const Results& results, std::size_t preset,
                   const std::vector<int>& seats) {
  std::string text;
  for (int s : seats) {
    TextTable table({"channel", "40-80 Hz", "", "80-250 Hz", "", "250-2500 Hz", ""}, " rrrrrr");
    std::vector<std::vector<std::optional<double>>> power;
    std::array<double, 3> sum{};
    for (std::size_t c = 0; c < scene.channels.size(); ++c) {
      std::vector<std::optional<double>> row;
      for (std::size_t r = 0; r < 3; ++r) {
        row.push_back(
            band(results, results.channel_pa, preset, c, s, share_ranges[r].low_hz, share_ranges[r].high_hz));
        sum[r] += row.back().value_or(0);
      }
      power.push_back(row);
    }
    for (std::size_t c = 0; c < scene.channels.size(); ++c) {
      std::vector<std::string> cells{scene.channels[c].name};
      for (std::size_t r = 0; r < 3; ++r) {
        if (results.mute(preset, c) || !power[c][r] || sum[r] <= 0) {
          cells.insert(cells.end(), {"-", "-"});
        } else if (*power[c][r] <= 0) {
          cells.insert(cells.end(), {"no path", "0 %"});
        } else {
          cells.insert(cells.end(),
                       {level_words(*power[c][r]), fmt::format("{:.0f} %", 100 * *power[c][r] / sum[r])});
        }
      }
      table.add(cells);
    }
    text += fmt::format(
                "\nLevel of each channel and its share of the power at {}, preset {} (pink weighting, {:.2f} "
                "V before channel gain)\n",
                scene.seats[s].name, results.preset[preset], *results.terminal_voltage_v) +
            table.text();
  }
  return text;
}

std::string third_octaves(const Scene& scene, const Results& results, std::size_t preset,
                          const std::vector<int>& seats) {
  const auto bands = third_octave_bands(25, 16000);
  std::string text;
  for (int s : seats) {
    std::vector<std::string> heads{"Hz", "sum, mono"};
    for (const Channel& channel : scene.channels) heads.push_back(channel.name);
    TextTable table(heads, std::string(heads.size(), 'r'));
    for (const Band& b : bands) {
      const auto sum = band(results, results.signal_pa, preset, 2, s, b.low_hz, b.high_hz);
      if (!sum) continue;
      std::vector<std::string> row{b.label, level_words(*sum)};
      for (std::size_t c = 0; c < scene.channels.size(); ++c)
        row.push_back(
            results.mute(preset, c)
                ? "-"
                : level_words(
                      band(results, results.channel_pa, preset, c, s, b.low_hz, b.high_hz).value_or(0)));
      table.add(row);
    }
    text += fmt::format("\nLevel by third octave at {}, dB, preset {}\n", scene.seats[s].name,
                        results.preset[preset]) +
            table.text();
  }
  return text;
}

/// Direction of the centre image: the number by which a centre channel is judged.
std::string mono_sides(const Scene& scene, const Results& results, const std::vector<int>& seats) {
  TextTable table({"seat", "playing", "seems to come from", "time difference", "level difference", ""},
                  "  rrr ");
  bool blurred = false, far = false;
  auto add = [&](int s, const std::string& what, double angle_deg, double time_s, double level_db,
                 double coherence) {
    // Below this coherence the image has no clear direction (common practice, no source).
    const bool incoherent = coherence < 0.5;
    blurred = blurred || incoherent;
    // The angle is limited to 90 degrees where the time exceeds that of any single distant source.
    const bool held = std::abs(angle_deg) >= 90;
    far = far || held;
    table.add({scene.seats[s].name, what,
               held ? std::string(angle_deg > 0 ? "far right" : "far left") : side_words(angle_deg),
               fmt::format("{:.2f} ms", std::abs(time_s) * 1000),
               fmt::format("{:.0f} dB", std::abs(level_db)), incoherent ? "blurred" : ""});
  };
  for (int s : seats) {
    for (std::size_t p = 0; p < results.preset.size(); ++p) {
      if (!results.interaural_known(p, s)) continue;
      add(s, results.preset[p], results.side_angle_deg(p, s), results.interaural_time_s(p, s),
          results.interaural_level_db(p, s), results.interaural_coherence(p, s));
    }
    for (std::size_t c = 0; c < results.channel.size(); ++c) {
      const SignalMix& takes = scene.presets.front().channels[c].signal;
      if (!results.channel_interaural_known(c, s) || takes.left != takes.right) continue;
      add(s, results.channel[c] + " alone", results.channel_side_angle_deg(c, s),
          results.channel_interaural_time_s(c, s), results.channel_interaural_level_db(c, s),
          results.channel_interaural_coherence(c, s));
    }
  }
  if (table.empty()) return "";
  return "\nDirection of the centre image (a mono signal; differences between the ears, 200 Hz to 1.5 kHz; "
         "0° "
         "is straight ahead)\n" +
         table.text() +
         (blurred ? "  blurred: the two ears hear too different a signal; it has no clear direction\n" : "") +
         (far ? "  far: one ear hears it later than any single source could cause; the side is right, the "
                "angle is not known\n"
              : "");
}

/// The deepest notches and the reflection that causes each: what to cover, or which driver to move.
std::string notches(const Scene& scene, const Results& results, const std::vector<int>& seats, bool all) {
  constexpr std::size_t most = 6;
  std::string text;
  std::size_t count = 0;
  for (const NotchRow& notch : results.notch) {
    if (std::find(seats.begin(), seats.end(), notch.seat) == seats.end() || notch.surfaces.empty()) continue;
    if (!all && ++count > most) break;
    text += fmt::format("  {} at {}, {} ear: {:.0f} dB at {}, reflection off {}, {} mm longer\n",
                        scene.channels[notch.channel].name, scene.seats[notch.seat].name,
                        notch.ear == 0 ? "left" : "right", notch.depth_db,
                        readable_frequency(notch.frequency_hz), notch.surfaces, rounded_mm(notch.extra_m));
  }
  return text.empty()
             ? ""
             : "\nDeepest notches, relative to the octave around each, and the reflection that causes it\n" +
                   text;
}

/// The seat that a preset is aligned for: the one with the largest weight, else the first that matters.
int seat_of(const Preset& preset, const std::vector<int>& seats) {
  if (preset.listen.empty()) return seats.front();
  return static_cast<int>(std::max_element(preset.listen.begin(), preset.listen.end()) -
                          preset.listen.begin());
}

/// Delays as set beside those with which all channels would arrive together, for each preset at its seat. The
/// latter are shown with the common delay that brings them closest to those set (the median difference): only
/// differences between channels are audible.
std::string delays(const Scene& scene, const Results& results, const std::vector<int>& seats) {
  if (seats.empty()) return "";
  constexpr double right_s = 0.1e-3;  // 34 mm of path: what a tape measure resolves
  std::vector<std::vector<int>> drivers;
  for (const Channel& channel : scene.channels) drivers.push_back(channel.drivers);
  std::vector<std::string> heads{"channel"};
  std::vector<std::vector<std::string>> rows;
  for (const Channel& channel : scene.channels) rows.push_back({channel.name});
  for (const Preset& preset : scene.presets) {
    const int s = seat_of(preset, seats);
    heads.insert(heads.end(), {preset.name, "@" + scene.seats[s].name, ""});
    std::vector<double> arrival;
    for (std::size_t d = 0; d < scene.drivers.size(); ++d) arrival.push_back(head_arrival_s(results, s, d));
    std::vector<int> use;
    for (const ChannelSettings& settings : preset.channels) use.push_back(!settings.mute);
    const auto lined_up = aligning_delays_s(arrival, drivers, use);
    std::vector<double> shifts;
    for (std::size_t c = 0; c < use.size(); ++c)
      if (use[c]) shifts.push_back(preset.channels[c].delay_s - lined_up[c]);
    std::sort(shifts.begin(), shifts.end());
    const double common = shifts.empty() ? 0 : shifts[shifts.size() / 2];
    for (std::size_t c = 0; c < use.size(); ++c) {
      if (!use[c]) {
        rows[c].insert(rows[c].end(), {"mute", "", ""});
        continue;
      }
      const double off = preset.channels[c].delay_s - lined_up[c] - common;
      rows[c].insert(rows[c].end(), {fmt::format("{:.2f}", preset.channels[c].delay_s * 1000),
                                     fmt::format("{:.2f}", (lined_up[c] + common) * 1000),
                                     std::abs(off) > right_s ? "*" : ""});
    }
  }
  std::string right = " ";
  for (std::size_t p = 0; p < scene.presets.size(); ++p) right += "rr ";
  TextTable table(heads, right);
  for (auto& row : rows) table.add(row);
  return "\nDelays in ms: as set, and those with which all channels arrive together at a seat (@; *: more "
         "than "
         "0.1 ms off)\n" +
         table.text();
}

}  // namespace

int preset_position(const Scene& scene, const std::string& name) {
  std::vector<std::string> known{"as_drawn"};
  for (std::size_t p = 0; p < scene.presets.size(); ++p) {
    if (scene.presets[p].name == name) return static_cast<int>(p);
    if (p > 0) known.push_back(scene.presets[p].name);
  }
  if (name == "as_drawn") return 0;
  fmt::print(stderr, "--preset: {} is not a preset of this scene; known: {}\n", name, fmt::join(known, ", "));
  return -1;
}

std::string response_summary(const Scene& scene, const Results& results, int preset, bool all) {
  std::string text;
  std::vector<int> seats = listening_seats(scene);
  if (all) {
    seats.clear();
    for (std::size_t s = 0; s < scene.seats.size(); ++s) seats.push_back(static_cast<int>(s));
  }
  if (!results.channel_pa.empty()) {
    for (std::size_t p = 0; p < results.preset.size(); ++p) {
      if (!all && static_cast<int>(p) != preset) continue;
      text += left_against_right(scene, results, p, seats);
      text += shares(scene, results, p, seats);
      if (all) text += third_octaves(scene, results, p, seats);
    }
    text += mono_sides(scene, results, seats);
    text += notches(scene, results, seats, all);
    text += delays(scene, results, listening_seats(scene));
  }
  if (!results.warnings.empty()) text += "\nCaveats\n";
  for (const std::string& warning : results.warnings) text += "  " + warning + "\n";
  if (!all && !results.channel_pa.empty()) text += "\nAll seats, presets and third octaves: --all\n";
  return text;
}

}  // namespace cabinfield::command
