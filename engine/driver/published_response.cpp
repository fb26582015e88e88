#include "driver/published_response.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "base/constants.h"
#include "driver/driver_circuit.h"

namespace cabinfield {
namespace {

/// Voltage and distance of a sensitivity rating (common practice, no source).
constexpr double published_voltage_v = default_terminal_voltage_v;
constexpr double published_distance_m = 1;
/// Piecewise linear with this many steps follows the fade to 0.1 %.
constexpr int fade_steps = 24;

/// Weight of M: 0 at the table's lowest frequency, 1 an octave above, smooth at both ends.
double fade(double octaves) {
  const double sine = std::sin(pi / 2 * std::clamp(octaves, 0.0, 1.0));
  return sine * sine;
}

}  // namespace

std::vector<double> half_space_level_db(const ThieleSmall& set, const Air& air,
                                        const std::vector<double>& frequency_hz) {
  const DriverResponse circuit = solve_driver_circuit(set, InfiniteBaffle{}, 1, air, frequency_hz);
  const std::vector<double> attenuation = air.energy_attenuation_per_m(frequency_hz);
  std::vector<double> level(frequency_hz.size());
  for (std::size_t f = 0; f < level.size(); ++f) {
    const double pressure_pa = frequency_hz[f] * air.density_kg_m3 / published_distance_m *
                               std::abs(circuit.volume_velocity_m3_s[f]) * published_voltage_v *
                               std::exp(-0.5 * attenuation[f] * published_distance_m);
    level[f] = 20 * std::log10(pressure_pa / reference_pressure_pa);
  }
  return level;
}

PublishedRatio published_over_circuit(const std::vector<ResponsePoint>& published, const ThieleSmall& set,
                                      const Air& air) {
  if (published.size() < fewest_response_points)
    throw std::invalid_argument("a published response needs more points");
  std::vector<double> frequency_hz, ratio_db;
  for (const ResponsePoint& point : published) {
    if (!frequency_hz.empty() && !(point.frequency_hz > frequency_hz.back()))
      throw std::invalid_argument("the frequencies of a published response must be ascending");
    frequency_hz.push_back(point.frequency_hz);
  }
  const double lowest = frequency_hz.front();
  if (frequency_hz.back() < lowest * std::pow(2, least_response_octaves))
    throw std::invalid_argument("a published response spans too few octaves");
  const std::vector<double> circuit_db = half_space_level_db(set, air, frequency_hz);
  for (std::size_t i = 0; i < published.size(); ++i)
    ratio_db.push_back(published[i].level_db - circuit_db[i]);
  const MinimumPhaseGain whole(frequency_hz, ratio_db);

  std::vector<double> faded_hz, faded_db;
  double sum_db = 0;
  for (int step = 0; step <= fade_steps; ++step) {
    faded_hz.push_back(lowest * std::pow(2, static_cast<double>(step) / fade_steps));
    sum_db += whole.gain_db(faded_hz.back()) / (fade_steps + 1);
  }
  for (double f : frequency_hz)
    if (std::none_of(faded_hz.begin(), faded_hz.end(),
                     [&](double other) { return std::abs(f / other - 1) < 1e-9; }))
      faded_hz.push_back(f);
  std::sort(faded_hz.begin(), faded_hz.end());
  for (double f : faded_hz) faded_db.push_back(fade(std::log2(f / lowest)) * whole.gain_db(f));
  return {MinimumPhaseGain(std::move(faded_hz), std::move(faded_db)), sum_db};
}

}  // namespace cabinfield
