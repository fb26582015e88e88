#include "fitting/start_drivers.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace cabinfield {
namespace {

/// The place of a driver by the first word of its name.
bool wanted(const std::string& driver, const StartDrivers& options) {
  const std::string word = driver.substr(0, driver.find('_'));
  if (word == "tweeter" || word == "midbass") return options.any();
  if (word == "midrange") return options.three_way;
  if (word == "centre") return options.any() && options.centre;
  if (word == "rear") return options.any() && options.rear;
  return options.any() && options.subwoofer;  // subwoofer and its box
}

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  for (std::size_t start = 0; start < text.size();) {
    const std::size_t end = std::min(text.find('\n', start), text.size());
    lines.push_back(text.substr(start, end - start));
    start = end + 1;
  }
  return lines;
}

/// A pair of channels, one a side.
std::string pair_of_channels(const std::string& location, const std::string& filters, int gain_db) {
  return fmt::format(
      "  left_{0}:\n    drives: [{0}_left]\n    signal: left\n{1}    gain: {2} dB\n"
      "  right_{0}: {{like: left_{0}, drives: [{0}_right], signal: right}}\n",
      location, filters, gain_db);
}

std::string linkwitz_riley(const char* key, double frequency_hz) {
  return fmt::format("    {}: {{family: linkwitz-riley, order: 4, frequency: {:g} Hz}}\n", key, frequency_hz);
}

}  // namespace

std::string with_wanted_places(const std::string& text, const Node& root, const StartDrivers& options) {
  std::vector<std::string> lines = lines_of(text);
  std::vector<std::pair<int, bool>> starts;  // first line of each entry or section, whether it is a comment
  for (const Entry& section : root.entries()) {
    if (section.key != "drivers" && section.key != "boxes") {
      starts.emplace_back(section.key_location.line, false);
      continue;
    }
    const auto& entries = section.value.entries();
    const bool none = std::none_of(entries.begin(), entries.end(),
                                   [&](const Entry& entry) { return wanted(entry.key, options); });
    starts.emplace_back(section.key_location.line, none);
    for (const Entry& entry : entries)
      starts.emplace_back(entry.key_location.line, !wanted(entry.key, options));
  }
  starts.emplace_back(static_cast<int>(lines.size()) + 1, false);
  for (std::size_t i = 0; i + 1 < starts.size(); ++i) {
    if (!starts[i].second) continue;
    for (int line = starts[i].first; line < starts[i + 1].first; ++line) {
      std::string& words = lines[static_cast<std::size_t>(line - 1)];
      // The space that a comment takes is taken from the indent: without its mark the line is as it was.
      if (!words.empty()) words = "# " + words;
    }
  }
  std::string result;
  for (const std::string& line : lines) result += line + "\n";
  return result;
}

// Corners, orders and gains are common practice, no source.
std::string channels_text(const StartDrivers& options, const Scene& body) {
  const auto highpass = [&](const std::string& driver, double usual_hz) {
    for (const MountedDriver& located : body.drivers)
      if (located.name == driver) usual_hz = std::max(usual_hz, located.lowest_highpass_hz.value_or(0));
    return linkwitz_riley("highpass", usual_hz);
  };
  std::string text =
      "\n# One channel per amplifier output. Corner frequencies and gains are usual starting "
      "values.\nchannels:\n";
  const double top_hz = options.three_way ? 3500 : 2800;
  text += pair_of_channels("tweeter", highpass("tweeter_left", top_hz), -2);
  if (options.three_way)
    text +=
        pair_of_channels("midrange", highpass("midrange_left", 320) + linkwitz_riley("lowpass", top_hz), -2);
  text += pair_of_channels(
      "midbass", highpass("midbass_left", 75) + linkwitz_riley("lowpass", options.three_way ? 320 : top_hz),
      0);
  if (options.centre)
    text +=
        "  centre:\n    drives: [centre]\n    signal: mono\n" + highpass("centre", 300) + "    gain: -8 dB\n";
  if (options.rear)
    text += pair_of_channels("rear", highpass("rear_left", 75) + linkwitz_riley("lowpass", 2800), -10);
  if (options.subwoofer)
    text +=
        "  subwoofer:\n    drives: [subwoofer]\n    signal: mono\n"
        "    highpass: {family: butterworth, order: 2, frequency: 25 Hz}\n" +
        linkwitz_riley("lowpass", 75) + "    gain: 4 dB\n";
  return text;
}

std::string preset_text(const Scene& scene) {
  const auto driver_seat = std::find_if(scene.seats.begin(), scene.seats.end(),
                                        [](const Seat& seat) { return seat.name == "driver"; });
  if (driver_seat == scene.seats.end()) return "";
  std::vector<double> far_m;
  for (const Channel& channel : scene.channels) {
    const MountedDriver& driver = scene.drivers[static_cast<std::size_t>(channel.drivers.front())];
    far_m.push_back((driver.source.position - driver_seat->head).norm());
  }
  const double farthest = far_m.empty() ? 0 : *std::max_element(far_m.begin(), far_m.end());
  std::string text =
      "\npresets:\n  # Delays for straight lines to the driver's head, aligned to the longest. Where a line "
      "is blocked, `predict`\n  # gives the delay for the path round the obstacle.\n  driver_seat:\n    "
      "listen: {driver: 1}\n    channels:\n";
  for (std::size_t c = 0; c < far_m.size(); ++c)
    text += fmt::format("      {}: {{delay: {:.2f} ms}}\n", scene.channels[c].name,
                        1000 * (farthest - far_m[c]) / scene.air.sound_speed_m_s);
  return text;
}

}  // namespace cabinfield
