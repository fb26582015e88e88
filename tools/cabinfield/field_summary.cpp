#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "summary.h"
#include "summary_words.h"
#include "terminal.h"

namespace cabinfield::command {
namespace {

/// Below this part of a mode's largest pressure, a point is in its quiet zone.
constexpr double quiet = 0.25;

/// The directions in which most of a mode's air moves.
std::string direction_words(const Vector3& along) {
  const char* const words[3] = {"front to back", "side to side", "floor to roof"};
  std::vector<std::pair<double, std::string>> shares;
  for (int axis = 0; axis < 3; ++axis) shares.emplace_back(along[axis], words[axis]);
  std::sort(shares.rbegin(), shares.rend());
  return shares[1].first > 0.25 ? shares[0].second + ", " + shares[1].second : shares[0].second;
}

}  // namespace

std::string field_summary(const Scene& scene, const Results& results, bool all) {
  std::string text;
  if (results.wave_top_hz) {
    TextTable table({"rigid walls", "damped", "Q", "air moves", "seats in its quiet zone"}, "rrr  ");
    const std::size_t most = all ? results.mode_frequency_hz.size() : 6;
    for (std::size_t m = 0; m < std::min(most, results.mode_frequency_hz.size()); ++m) {
      std::string seats;
      for (std::size_t s = 0; s < scene.seats.size(); ++s)
        if (0.5 * (results.mode_ear_level(m, s, 0) + results.mode_ear_level(m, s, 1)) < quiet)
          seats += (seats.empty() ? "" : ", ") + scene.seats[s].name;
      table.add({fmt::format("{:.0f} Hz", results.mode_frequency_hz[m]),
                 fmt::format("{:.0f} Hz", results.mode_damped_hz[m]),
                 fmt::format("{:.0f}", results.mode_q[m]), direction_words(results.mode_along[m]),
                 seats.empty() ? "-" : seats});
    }
    text += "\nLowest modes of the cabin: with rigid walls, and damped by its materials\n" + table.text();
    text += fmt::format(
        "Wave field up to {:.0f} Hz ({:.0f} degrees of freedom, {:.0f} basis vectors, estimated error up to "
        "{:.1f} %)",
        *results.wave_top_hz, *results.wave_degrees_of_freedom, *results.wave_basis_vectors,
        100 * *results.wave_error);
    text +=
        results.field == FieldKind::joined
            ? fmt::format(", image sources above {:.0f} Hz, blended between\n", 0.5 * *results.wave_top_hz)
            : std::string("\n");
  }
  for (const std::string& note : results.notes) text += "  " + note + "\n";
  return text;
}

}  // namespace cabinfield::command
