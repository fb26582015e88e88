#include "summary_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace cabinfield::command {
namespace {

/// Rounded, without a minus before zero.
double rounded(double value, double step) {
  const double result = std::round(value / step) * step;
  return result == 0 ? 0 : result;
}

std::string with_direction(double degrees, const char* positive, const char* negative) {
  const double whole = rounded(degrees, 1);
  if (whole == 0) return "0°";
  return fmt::format("{:.0f}° {}", std::abs(whole), whole > 0 ? positive : negative);
}

}  // namespace

std::vector<int> listening_seats(const Scene& scene) {
  std::vector<int> chosen;
  auto add = [&](int seat) {
    if (std::find(chosen.begin(), chosen.end(), seat) == chosen.end()) chosen.push_back(seat);
  };
  for (const std::string& name : scene.brief.listen)
    for (std::size_t s = 0; s < scene.seats.size(); ++s)
      if (scene.seats[s].name == name) add(static_cast<int>(s));
  if (chosen.empty())
    for (const Preset& preset : scene.presets)
      for (std::size_t s = 0; s < preset.listen.size(); ++s)
        if (preset.listen[s] > 0) add(static_cast<int>(s));
  if (chosen.empty())
    for (std::size_t s = 0; s < std::min<std::size_t>(2, scene.seats.size()); ++s) add(static_cast<int>(s));
  return chosen;
}

std::string rounded_mm(double metres) { return fmt::format("{:.0f}", rounded(metres * 1000, 10)); }
std::string rounded_ms(double seconds) { return fmt::format("{:.1f}", rounded(seconds * 1000, 0.1)); }
std::string whole_db(double level_db) {
  return std::isfinite(level_db) ? fmt::format("{:.0f}", rounded(level_db, 1)) : "-";
}
std::string readable_frequency(double hz) {
  return hz < 1000 ? fmt::format("{:.0f} Hz", rounded(hz, 10)) : fmt::format("{:.2f} kHz", hz / 1000);
}
std::string signed_db(double level_db) {
  const double whole = rounded(level_db, 1);
  return whole == 0 ? "0" : fmt::format("{:+.0f}", whole);
}
std::string side_words(double degrees) { return with_direction(degrees, "right", "left"); }
std::string height_words(double degrees) { return with_direction(degrees, "above", "below"); }

double head_length_m(const Results& results, std::size_t seat, std::size_t driver) {
  return 0.5 * (results.path_length_m(seat, 0, driver) + results.path_length_m(seat, 1, driver));
}

double head_arrival_s(const Results& results, std::size_t seat, std::size_t driver) {
  return 0.5 * (results.arrival_s(seat, 0, driver) + results.arrival_s(seat, 1, driver));
}

}  // namespace cabinfield::command
