#include "study/variant_sound.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "field/frequency_grid.h"
#include "listening/align.h"
#include "listening/arrival.h"
#include "listening/bands.h"
#include "listening/response.h"

namespace cabinfield {
namespace {

/// Outputs remembered of one driver: as many as a study tries models and loadings in turn.
constexpr std::size_t max_outputs = 16;

bool plays(const VariantSound& sound, std::size_t channels, std::size_t channel) {
  for (std::size_t signal = 0; signal < 3; ++signal)
    if (sound.signal_share[signal * channels + channel] != 0) return true;
  return false;
}

}  // namespace

Heard VariantSound::heard() const {
  const auto& shape = pressure_pa.shape();
  return {channel_pressures(pressure_pa.values().data(), shape[0], shape[1], shape[2]), signal_share,
          arrival_s, length_m};
}

std::vector<double> mono_square(const VariantSound& sound, std::size_t seat) {
  const auto& shape = sound.pressure_pa.shape();
  std::array<std::vector<Complex>, 2> sum;
  for (std::size_t e : {0, 1}) {
    sum[e].assign(shape[2], 0);
    for (std::size_t c = 0; c < shape[0]; ++c) {
      const double share = sound.signal_share[mono_signal * shape[0] + c];
      if (share == 0) continue;
      const Complex* const row = sound.pressure_pa.row(c, 2 * seat + e);
      for (std::size_t f = 0; f < shape[2]; ++f) sum[e][f] += share * row[f];
    }
  }
  return mean_square_of_ears(sum[0].data(), sum[1].data(), shape[2]);
}

const DriverResponse& VariantSounds::output(const MountedDriver& driver, const Scene& scene) {
  std::vector<KnownOutput>& known = outputs_[driver.name];
  const auto found = std::find_if(known.begin(), known.end(), [&](const KnownOutput& one) {
    return one.set == driver.thiele_small && one.loading == driver.loading && one.sharing == driver.sharing &&
           one.level_db == driver.level_db && one.published == driver.published && one.air == scene.air;
  });
  if (found != known.end()) return found->response;
  if (known.size() >= max_outputs) known.erase(known.begin());
  known.push_back({driver.thiele_small, driver.loading, driver.sharing, driver.level_db, driver.published,
                   scene.air, driver_output(driver, scene.air, scene.computation.frequency_hz)});
  return known.back().response;
}

VariantSound VariantSounds::operator()(const Scene& scene, const TransferFunctionSet& transfer_set,
                                       double level_db) {
  // Step 1: outputs of the drivers, remembered from earlier variants where they recur.
  const std::size_t channels = scene.channels.size(), seats = scene.seats.size(), ears = 2 * seats,
                    drivers = scene.drivers.size(), frequencies = scene.computation.frequency_hz.size();
  const Preset& preset = scene.presets[static_cast<std::size_t>(preset_)];
  SourceOutputs outputs;
  outputs.volume_velocity_m3_s = outputs.impedance_ohm = Table<Complex, 2>({drivers, frequencies});
  for (std::size_t d = 0; d < drivers; ++d) {
    const DriverResponse& response = output(scene.drivers[d], scene);
    std::copy(response.volume_velocity_m3_s.begin(), response.volume_velocity_m3_s.end(),
              outputs.volume_velocity_m3_s.row(d));
    std::copy(response.impedance_ohm.begin(), response.impedance_ohm.end(), outputs.impedance_ohm.row(d));
  }
  const Table<Complex, 3> transfer = transfer_at(transfer_set, scene, preset.state);

  // Step 2: pressures of the channels, as in a prediction.
  VariantSound sound;
  sound.pressure_pa = Table<Complex, 3>({channels, ears, frequencies});
  sound.signal_share.assign(3 * channels, 0);
  std::vector<std::vector<int>> drivers_of;
  for (std::size_t c = 0; c < channels; ++c) {
    const ChannelSettings& settings = preset.channels[c];
    drivers_of.push_back(scene.channels[c].drivers);
    if (settings.mute) continue;
    for (std::size_t signal = 0; signal < 3; ++signal)
      sound.signal_share[signal * channels + c] = signal_share(settings.signal, static_cast<int>(signal));
    const auto response =
        channel_response(settings, scene.computation.frequency_hz, scene.computation.sample_rate_hz);
    const Table<Complex, 2> pressure = channel_pressure(drive_of(scene.channels[c], outputs), response,
                                                        scene.computation.terminal_voltage_v, transfer);
    std::copy(pressure.values().begin(), pressure.values().end(), sound.pressure_pa.row(c, 0));
  }

  // Step 3: path lengths and first arrivals of the channels, and pairs without any sound path.
  Table<double, 2> length_m({ears, drivers}), arrival_s({ears, drivers});
  for (std::size_t d = 0; d < drivers; ++d) {
    const Source source = source_in(scene, static_cast<int>(d), preset.state);
    const SourceTransfer& field = transfer_set.at(source);
    for (std::size_t n = 0; n < ears; ++n) {
      length_m(n, d) = field.length_m[n];
      arrival_s(n, d) = field.length_m[n] / scene.air.sound_speed_m_s;
    }
    for (std::size_t s = 0; s < seats; ++s)
      if (!field.reached[s]) sound.unheard.push_back(scene.drivers[d].name + " at " + scene.seats[s].name);
  }
  sound.arrival_s.resize(channels * seats);
  sound.length_m.resize(channels * seats);
  nearest_of_channels(length_m, drivers_of, sound.length_m);
  nearest_of_channels(arrival_s, drivers_of, sound.arrival_s);
  for (std::size_t c = 0; c < channels; ++c)
    for (std::size_t s = 0; s < seats; ++s) sound.arrival_s[c * seats + s] += preset.channels[c].delay_s;
  // Step 4: alignment and level matching.
  sound.added_delay_s.assign(channels, 0);
  sound.added_gain_db.assign(channels, 0);
  if (before_.line_up_seat) align(scene, sound);
  if (before_.level) {
    const double gain_db = before_.level->level_db.value_or(level_db) - common_level_db(sound, scene);
    if (std::isfinite(gain_db)) {
      std::vector<Complex> phase(frequencies);
      const std::vector<double> gains(channels, gain_db), none(channels, 0);
      apply_settings(scene.computation.frequency_hz, 0, gains, none, sound.pressure_pa.values(), phase);
      sound.added_gain_db = gains;
    }
  }
  return sound;
}

void VariantSounds::align(const Scene& scene, VariantSound& sound) const {
  const std::size_t channels = scene.channels.size();
  std::vector<int> use;
  for (std::size_t c = 0; c < channels; ++c) use.push_back(plays(sound, channels, c) ? 1 : 0);
  sound.added_delay_s = lining_up_delays_s(sound.arrival_s, scene.seats.size(),
                                           static_cast<std::size_t>(*before_.line_up_seat), use);
  const std::vector<double> none(channels, 0);
  const auto& frequency_hz = scene.computation.frequency_hz;
  std::vector<Complex> phase(frequency_hz.size());
  apply_settings(frequency_hz, octave_step(frequency_hz), none, sound.added_delay_s,
                 sound.pressure_pa.values(), phase);
  apply_delays(sound.added_delay_s, sound.arrival_s);
}

double VariantSounds::common_level_db(const VariantSound& sound, const Scene& scene) const {
  if (!before_.level) return 0;
  const auto& frequency_hz = scene.computation.frequency_hz;
  const std::size_t seats = scene.seats.size();
  const BandWeights band = band_weights(frequency_hz, before_.level->band);
  std::vector<int> chosen = before_.level->seats;
  for (std::size_t s = 0; before_.level->seats.empty() && s < seats; ++s)
    chosen.push_back(static_cast<int>(s));
  double mean_square = 0;
  for (int s : chosen) {
    const std::vector<double> square = mono_square(sound, static_cast<std::size_t>(s));
    mean_square += band.mean(square.data()) / static_cast<double>(chosen.size());
  }
  return sound_level_db(mean_square);
}

}  // namespace cabinfield
