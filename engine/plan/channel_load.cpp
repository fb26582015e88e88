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

/// Parts of the band this much below the loudest carry little (common practice, no source).
constexpr double band_gain = 0.3162;
/// Power of a driver whose model gives none (common practice, no source).
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

/// Sine power that gives the level of the brief at the nearest seat that matters, in half space; the rating
/// of the driver where the brief has no level.
double power_for_level_w(const Scene& scene, const MountedDriver& driver) {
  const double own_w = driver.power_w ? driven_rating_w(driver) : usual_power_w;
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

/// As part_of_full_scale at load_frequency_hz, the gain counted as 0 dB at least, 1 at its loudest.
std::vector<double> let_through(ChannelSettings settings, double sample_rate_hz) {
  settings.gain_db = std::max(0.0, settings.gain_db);
  if (std::abs(settings.signal.left) + std::abs(settings.signal.right) < 1) settings.signal = {0.5, 0.5};
  std::vector<double> part = part_of_full_scale(settings, sample_rate_hz, load_frequency_hz());
  const double loudest = *std::max_element(part.begin(), part.end());
  for (double& one : part) one = loudest > 0 ? one / loudest : 0;
  return part;
}

void raise(std::vector<double>& greatest, const std::vector<double>& other) {
  for (std::size_t f = 0; f < greatest.size(); ++f) greatest[f] = std::max(greatest[f], other[f]);
}

/// Real power (W) of the greatest clean sine at one of load_frequency_hz.
double sine_power_w(const ChannelLoad& load, const Amplifier& amplifier, bool bridged, double supply_v,
                    std::size_t f) {
  const double modulus = std::abs(load.load_ohm[f]);
  const double voltage_v = output_reach(amplifier, bridged, modulus, supply_v).voltage_v;
  return voltage_v * voltage_v * load.load_ohm[f].real() / (modulus * modulus);
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

std::vector<double> part_of_full_scale(const ChannelSettings& settings, double sample_rate_hz,
                                       const std::vector<double>& frequency_hz) {
  ChannelSettings playing = settings;
  playing.mute = false;
  const double mix = std::abs(settings.signal.left) + std::abs(settings.signal.right);
  std::vector<double> part;
  for (const Complex& gain : channel_response(playing, frequency_hz, sample_rate_hz))
    part.push_back(std::min(1.0, mix * std::abs(gain)));
  return part;
}

std::vector<const ChannelSettings*> playing_settings(const Scene& scene, std::size_t channel) {
  std::vector<const ChannelSettings*> playing, all;
  for (const Preset& preset : scene.presets) {
    all.push_back(&preset.channels[channel]);
    if (!preset.channels[channel].mute) playing.push_back(all.back());
  }
  return playing.empty() ? all : playing;
}

DrivenChannel driven_channel(const Scene& scene, std::size_t c, const std::vector<double>& frequency_hz) {
  const Channel& channel = scene.channels[c];
  DrivenChannel driven;
  std::vector<DriverResponse> responses;
  std::vector<std::vector<Complex>> impedance;
  for (int d : channel.drivers) {
    const MountedDriver& driver = scene.drivers[d];
    responses.push_back(
        solve_driver_circuit(driver.thiele_small, driver.loading, driver.sharing, scene.air, frequency_hz));
    impedance.push_back(responses.back().impedance_ohm);
  }
  const auto share = wiring_voltage_share(channel.wiring, impedance);
  driven.load_ohm.assign(frequency_hz.size(), 0.0);
  const bool series = channel.wiring == DriverWiring::series;
  for (std::size_t i = 0; i < channel.drivers.size(); ++i) {
    const MountedDriver& driver = scene.drivers[channel.drivers[i]];
    LimitedDriver one;
    for (std::size_t f = 0; f < frequency_hz.size(); ++f) {
      one.share.push_back(std::abs(share[i][f]));
      one.modulus_ohm.push_back(std::abs(impedance[i][f]));
      one.excursion_m_v.push_back(std::abs(responses[i].excursion_m[f]));
      driven.load_ohm[f] += series ? impedance[i][f] : 1.0 / impedance[i][f];
    }
    one.port_m_s_v = responses[i].port_velocity_m_s;
    one.coil_ohm = driver.thiele_small.Re_ohm;
    one.power_w = driven_rating_w(driver);
    one.peak_m = driver.thiele_small.Xmax_m.value_or(0);
    driven.drivers.push_back(std::move(one));
  }
  for (std::size_t f = 0; f < frequency_hz.size() && !series; ++f)
    driven.load_ohm[f] = 1.0 / driven.load_ohm[f];
  return driven;
}

double driven_rating_w(const MountedDriver& driver) {
  const bool one_of_many = driver.coils > 1 && driver.coils_joined == CoilConnection::single;
  return driver.power_w.value_or(0) / (one_of_many ? driver.coils : 1);
}

std::vector<ChannelLoad> channel_loads(const Scene& scene) {
  std::vector<ChannelLoad> loads;
  for (std::size_t c = 0; c < scene.channels.size(); ++c) {
    const Channel& channel = scene.channels[c];
    ChannelLoad load;
    const std::size_t count = load_frequency_hz().size();
    load.gain.assign(count, 0.0);
    for (const ChannelSettings* settings : playing_settings(scene, c))
      raise(load.gain, let_through(*settings, scene.computation.sample_rate_hz));
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
  for (std::size_t f = 0; f < load.load_ohm.size(); ++f)
    if (load.gain[f] >= band_gain)
      power_w = std::max(power_w, sine_power_w(load, amplifier, bridged, supply_v, f));
  return power_w;
}

double bass_power_w(const ChannelLoad& load, const Amplifier& amplifier, bool bridged, double supply_v) {
  constexpr double lowest_hz = 20;
  double bass_gain = 0;
  for (std::size_t f = 0; f < load.load_ohm.size(); ++f)
    if (load_frequency_hz()[f] >= lowest_hz && load_frequency_hz()[f] <= highest_bass_hz)
      bass_gain = std::max(bass_gain, load.gain[f]);
  return bass_gain * bass_gain * greatest_power_w(load, amplifier, bridged, supply_v);
}

}  // namespace cabinfield
