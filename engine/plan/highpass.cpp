#include "plan/highpass.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "plan/channel_load.h"

namespace cabinfield {

std::optional<WeakHighpass> weak_highpass(const ChannelSettings& settings, double sample_rate_hz,
                                          double lowest_highpass_hz) {
  constexpr double tolerance_db = 5;
  constexpr int steps = 24, octaves = 2;
  // A subwoofer's gain is set to its amplifier; its cone's travel is a rule of its own.
  constexpr double bass_highpass_hz = 40;
  ChannelSettings raised = settings;
  raised.gain_db = lowest_highpass_hz < bass_highpass_hz ? 0.0 : std::max(0.0, settings.gain_db);
  std::vector<double> frequency_hz;
  for (int step = 0; step <= steps; ++step)
    frequency_hz.push_back(lowest_highpass_hz *
                           std::exp2(static_cast<double>(octaves * (step - steps)) / steps));
  const std::vector<double> part = part_of_full_scale(raised, sample_rate_hz, frequency_hz);
  std::optional<WeakHighpass> worst;
  double most_db = 0;
  for (std::size_t f = 0; f < part.size(); ++f) {
    const double level_db = 20 * std::log10(std::max(part[f], 1e-10));
    const double allowed_db =
        tolerance_db - 10 * std::log10(1 + std::pow(lowest_highpass_hz / frequency_hz[f], 4));
    if (level_db - allowed_db <= most_db) continue;
    most_db = level_db - allowed_db;
    worst = WeakHighpass{frequency_hz[f], level_db, allowed_db};
  }
  return worst;
}

std::string weak_highpass_words(const WeakHighpass& weak) {
  return fmt::format("lets {:.0f} dB of full scale through at {:.0f} Hz, at most {:.0f} dB", weak.level_db,
                     weak.frequency_hz, weak.allowed_db);
}

}  // namespace cabinfield
