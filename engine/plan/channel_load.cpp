#include "plan/channel_load.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "base/constants.h"
#include "channel/channel.h"
#include "driver/driver_circuit.h"
#include "field/frequency_grid.h"

namespace cabinfield {
namespace {

/// Parts of the band that play this much below the loudest carry little (common practice, no source).
constexpr double band_gain = 0.3162;
/// Power of a driver whose model does not say (common practice, no source).
constexpr double usual_power_w = 50;

std::vector<Complex> impedance(const MountedDriver& driver, const ThieleSmall& set, const Air& air) {
  return solve_driver_circuit(set, driver.loading, driver.sharing, air, load_frequency_hz()).impedance_ohm;
}

LeastLoad least_in_band(const std::vector<Complex>& load, const std::vector<double>& gain) {
  std::vector<Complex> inside;
  std::vector<double> at_hz;
  for (std::size_t f = 0; f < load.size(); ++f)
    if (gain[f] >= band_gain) inside.push_back(load[f]), at_hz.push_back(load_frequency_hz()[f]);
  return least_load(inside, at_hz);
}

/// Sine power that brings the level asked for to the nearest seat that matters, in half space; all that its
/// driver stands where nothing is asked.
double power_for_level_w(const Scene& scene, const MountedDriver& driver) {
  const double own_w = driver.power_w.value_or(usual_power_w);
  if (!scene.brief.level_db || scene.seats.empty()) return own_w;
  double nearest_m = 1e9;
  for (const Seat& seat : scene.seats) {
    const auto& asked = scene.brief.listen;
    if (!asked.empty() && std::count(asked.begin(), asked.end(), seat.name) == 0) continue;
    nearest_m = std::min(nearest_m, (seat.head - driver.source.position).norm());
  }
  if (nearest_m > 1e8) return own_w;
  // Mean square pressure at 1 m in half space of 1 W of sound: rho c/(2 pi).
  const double per_watt_pa2 = reference_efficiency(driver.thiele_small, scene.air) * scene.air.density_kg_m3 *
                              scene.air.sound_speed_m_s / (2 * pi);
  const double asked_pa2 =
      std::pow(10, *scene.brief.level_db / 10) * reference_pressure_pa * reference_pressure_pa;
  return std::min(own_w, asked_pa2 * nearest_m * nearest_m / per_watt_pa2);
}

double nominal_of(const MountedDriver& driver, CoilConnection joined) {
  if (!driver.nominal_impedance_ohm) return 0;
  return nominal_load_ohm({joined, 1, 1}, driver.coils, *driver.nominal_impedance_ohm, driver.coils_measured);
}

}  // namespace

const std::vector<double>& load_frequency_hz() {
  static const std::vector<double> grid = octave_grid_hz(10, 20000, 24);
  return grid;
}

std::vector<ChannelLoad> channel_loads(const Scene& scene) {
  std::vector<ChannelLoad> loads;
  for (std::size_t c = 0; c < scene.channels.size(); ++c) {
    const Channel& channel = scene.channels[c];
    ChannelLoad load;
    const std::size_t count = load_frequency_hz().size();
    ChannelSettings settings = scene.presets.front().channels[c];
    settings.mute = false;
    double loudest = 0;
    for (const Complex& gain :
         channel_response(settings, load_frequency_hz(), scene.computation.sample_rate_hz))
      load.gain.push_back(std::abs(gain)), loudest = std::max(loudest, std::abs(gain));
    for (double& gain : load.gain) gain /= loudest;
    std::vector<Complex> sum(count, 0.0);
    const bool series = channel.wiring == DriverWiring::series;
    double nominal = 0;
    bool all_known = !channel.drivers.empty();
    for (int d : channel.drivers) {
      const MountedDriver& driver = scene.drivers[d];
      const auto one = impedance(driver, driver.thiele_small, scene.air);
      for (std::size_t f = 0; f < count; ++f) sum[f] += series ? one[f] : 1.0 / one[f];
      const double its = nominal_of(driver, driver.coils_joined);
      all_known = all_known && its > 0;
      nominal += series ? its : 1 / std::max(its, 1e-9);
      load.wanted_w += power_for_level_w(scene, driver);
    }
    if (!channel.drivers.empty()) {
      for (std::size_t f = 0; f < count && !series; ++f) sum[f] = 1.0 / sum[f];
      load.load_ohm = std::move(sum);
      load.least = least_in_band(load.load_ohm, load.gain);
      if (all_known) load.nominal_ohm = series ? nominal : 1 / nominal;
    }
    loads.push_back(std::move(load));
  }
  return loads;
}

std::vector<WayLoad> way_loads(const Scene& scene, int channel, const ChannelLoad& load) {
  const Channel& of = scene.channels[channel];
  std::vector<WayLoad> ways;
  if (of.drivers.empty()) return ways;
  const MountedDriver& first = scene.drivers[of.drivers.front()];
  for (int d : of.drivers)
    if (scene.drivers[d].model_name != first.model_name || scene.drivers[d].coils != first.coils ||
        scene.drivers[d].loading.index() != first.loading.index())
      return ways;
  const int drivers = static_cast<int>(of.drivers.size());
  for (const CoilWay& way : coil_ways(drivers, first.coils)) {
    const ThieleSmall set =
        first.coils > 1 ? reconnect_coils(first.thiele_small, first.coils, first.coils_joined, way.coils)
                        : first.thiele_small;
    std::vector<Complex> joined = impedance(first, set, scene.air);
    for (Complex& one : joined) one = load_of(way, one);
    WayLoad entry{way, least_in_band(joined, load.gain), 0, false};
    if (first.nominal_impedance_ohm)
      entry.nominal_ohm =
          nominal_load_ohm(way, first.coils, *first.nominal_impedance_ohm, first.coils_measured);
    const bool coils_so = first.coils == 1 || way.coils == first.coils_joined;
    const bool drivers_so = of.wiring == DriverWiring::series ? way.in_parallel == 1 : way.in_series == 1;
    entry.chosen = coils_so && drivers_so;
    ways.push_back(entry);
  }
  return ways;
}

double greatest_power_w(const ChannelLoad& load, const Amplifier& amplifier, bool bridged, double supply_v) {
  double power_w = 0;
  for (std::size_t f = 0; f < load.load_ohm.size(); ++f) {
    if (load.gain[f] < band_gain) continue;
    const double modulus = std::abs(load.load_ohm[f]);
    const double voltage_v = output_reach(amplifier, bridged, modulus, supply_v).voltage_v;
    power_w = std::max(power_w, voltage_v * voltage_v * load.load_ohm[f].real() / (modulus * modulus));
  }
  return power_w;
}

}  // namespace cabinfield
