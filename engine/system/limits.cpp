#include "system/limits.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace cabinfield {
namespace {

constexpr double without_end = std::numeric_limits<double>::infinity();

bool heats(LimitKind kind) { return kind == LimitKind::coil_heat || kind == LimitKind::supply; }

}  // namespace

const std::array<const char*, limit_kinds>& limit_names() {
  static const std::array<const char*, limit_kinds> names{
      "none",      "signal",    "amplifier voltage", "amplifier current",
      "coil heat", "excursion", "port noise",        "supply"};
  return names;
}

LimitVoltages driver_limits(const std::vector<LimitedDriver>& drivers, std::size_t frequencies) {
  LimitVoltages limits;
  for (auto& row : limits) row.assign(frequencies, without_end);
  auto hold = [&](LimitKind kind, std::size_t f, double voltage_v) {
    double& least = limits[static_cast<std::size_t>(kind)][f];
    least = std::min(least, voltage_v);
  };
  for (const LimitedDriver& driver : drivers)
    for (std::size_t f = 0; f < frequencies; ++f) {
      if (driver.power_w > 0)
        hold(LimitKind::coil_heat, f,
             std::sqrt(driver.power_w / driver.coil_ohm) * driver.modulus_ohm[f] / driver.share[f]);
      if (driver.peak_m > 0)
        hold(LimitKind::excursion, f, driver.peak_m / (driver.excursion_m_v[f] * driver.share[f]));
      if (!driver.port_m_s_v.empty())
        hold(LimitKind::port_noise, f, port_noise_m_s / (driver.port_m_s_v[f] * driver.share[f]));
    }
  return limits;
}

Limit sine_limit(const LimitVoltages& limits, std::size_t frequency) {
  Limit least{without_end, LimitKind::none};
  for (std::size_t kind = 1; kind < limits.size(); ++kind)
    if (limits[kind][frequency] < least.voltage_v)
      least = {limits[kind][frequency], static_cast<LimitKind>(kind)};
  return least;
}

Limit music_limit(const LimitVoltages& limits, const std::vector<double>& weight,
                  const std::vector<double>& gain, double crest_db) {
  Limit least{without_end, LimitKind::none};
  const double peak_over_sine = std::pow(10, crest_db / 10) / 2;
  for (std::size_t kind = 1; kind < limits.size(); ++kind) {
    double sum = 0;
    for (std::size_t f = 0; f < weight.size(); ++f)
      sum += weight[f] * gain[f] * gain[f] / (limits[kind][f] * limits[kind][f]);
    if (!heats(static_cast<LimitKind>(kind))) sum *= peak_over_sine;
    const double voltage_v = sum > 0 ? 1 / std::sqrt(sum) : without_end;
    if (voltage_v < least.voltage_v) least = {voltage_v, static_cast<LimitKind>(kind)};
  }
  return least;
}

std::vector<double> pink_weights(const std::vector<double>& frequency_hz) {
  constexpr double low_hz = 20 * (1 - 1e-9), high_hz = 20000 * (1 + 1e-9);
  std::vector<double> weight(frequency_hz.size(), 0.0);
  double sum = 0;
  for (std::size_t f = 0; f < frequency_hz.size(); ++f) {
    if (frequency_hz[f] < low_hz || frequency_hz[f] > high_hz) continue;
    auto there = [&](std::size_t other) {
      return frequency_hz[other] >= low_hz && frequency_hz[other] <= high_hz;
    };
    if (f > 0 && there(f - 1)) weight[f] += 0.5 * std::log(frequency_hz[f] / frequency_hz[f - 1]);
    if (f + 1 < frequency_hz.size() && there(f + 1))
      weight[f] += 0.5 * std::log(frequency_hz[f + 1] / frequency_hz[f]);
    sum += weight[f];
  }
  for (double& w : weight) w = sum > 0 ? w / sum : 0;
  return weight;
}

}  // namespace cabinfield
