#include "predict/prediction.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <memory>

#include "base/constants.h"
#include "listening/arrival.h"
#include "listening/response.h"
#include "plan/judge_system.h"
#include "predict/drawn_geometry.h"
#include "predict/explained.h"
#include "predict/field_maps.h"
#include "predict/loudest.h"
#include "predict/source_outputs.h"
#include "predict/two_ears.h"

namespace cabinfield {
namespace {

std::vector<Vector3> all_ears(const Scene& scene) {
  std::vector<Vector3> ears;
  for (const Seat& seat : scene.seats) ears.insert(ears.end(), seat.ear.begin(), seat.ear.end());
  return ears;
}

void name_axes(const Scene& scene, Results& results) {
  for (const Seat& seat : scene.seats) results.seat.push_back(seat.name);
  for (const MountedDriver& driver : scene.drivers) results.driver.push_back(driver.name);
  for (const Channel& channel : scene.channels) results.channel.push_back(channel.name);
  for (const Preset& preset : scene.presets) results.preset.push_back(preset.name);
  for (const Mark& mark : scene.marks) {
    results.mark.push_back(mark.name);
    results.mark_position_m.push_back(mark.position);
  }
}

void record_positions(const Scene& scene, Results& results) {
  const std::size_t seats = scene.seats.size(), drivers = scene.drivers.size();
  if (scene.cabin) results.geometry = drawn_geometry(*scene.cabin);
  std::vector<Source> sources;
  for (const MountedDriver& driver : scene.drivers) {
    sources.push_back(driver.source);
    results.driver_position_m.push_back(driver.source.position);
    results.driver_axis.push_back(driver.source.axis);
    results.driver_radius_m.push_back(driver.source.piston_radius_m);
  }
  results.ear_position_m = Table<Vector3, 2>({seats, 2}, Vector3::Zero());
  for (std::size_t s = 0; s < seats; ++s)
    for (std::size_t e : {0, 1}) results.ear_position_m(s, e) = scene.seats[s].ear[e];

  const DirectPaths paths = direct_paths(scene.ways.get(), sources, all_ears(scene));
  results.path_length_m = Table<double, 3>({seats, 2, drivers});
  results.arrival_s = Table<double, 3>({seats, 2, drivers});
  results.direct = Table<int, 3>({seats, 2, drivers});
  results.angle_deg = Table<double, 3>({seats, drivers, 3});
  for (std::size_t s = 0; s < seats; ++s)
    for (std::size_t d = 0; d < drivers; ++d) {
      for (std::size_t e : {0, 1}) {
        results.path_length_m(s, e, d) = paths.length_m(2 * s + e, d);
        results.arrival_s(s, e, d) = paths.length_m(2 * s + e, d) / scene.air.sound_speed_m_s;
        results.direct(s, e, d) = paths.free(2 * s + e, d);
      }
      const auto angles = angles_deg(sources[d], scene.seats[s].head);
      for (std::size_t a = 0; a < 3; ++a) results.angle_deg(s, d, a) = angles[a];
    }
}

void respond(const Scene& scene, const SourceOutputs& outputs, const FieldSolution& fields,
             Results& results) {
  const std::size_t presets = scene.presets.size(), channels = scene.channels.size(),
                    seats = scene.seats.size();
  const std::size_t ears = 2 * seats, frequencies = results.frequency_hz.size();
  results.channel_pa = Table<Complex, 5>({presets, channels, seats, 2, frequencies});
  results.signal_pa = Table<Complex, 5>({presets, 3, seats, 2, frequencies});
  for (std::size_t c = 0; c < channels; ++c) {
    const ChannelDrive drive = drive_of(scene.channels[c], outputs);
    for (std::size_t p = 0; p < presets; ++p) {
      const ChannelSettings& settings = scene.presets[p].channels[c];
      const auto response =
          channel_response(settings, results.frequency_hz, scene.computation.sample_rate_hz);
      const Table<Complex, 2> pressure =
          channel_pressure(drive, response, scene.computation.terminal_voltage_v,
                           fields.transfer_pa_s_m3[scene.presets[p].state]);
      for (std::size_t n = 0; n < ears; ++n)
        for (std::size_t f = 0; f < frequencies; ++f) {
          results.channel_pa(p, c, n / 2, n % 2, f) = pressure(n, f);
          for (int signal : {0, 1, 2})
            results.signal_pa(p, signal, n / 2, n % 2, f) +=
                signal_share(settings.signal, signal) * pressure(n, f);
        }
    }
  }
}

/// Maps of the first state, for every driver and for every channel of the first preset.
void draw_maps(const Scene& scene, const WaveField& field, const std::vector<double>& frequency_hz,
               Results& results) {
  // Circuits and filters are computed again at the frequencies of the maps.
  Scene at_maps = scene;
  at_maps.computation.frequency_hz = frequency_hz;
  const SourceOutputs outputs = source_outputs(at_maps);

  const MapPoints map = map_points(scene, field);
  FieldMaps maps = map.maps;
  maps.frequency_hz = frequency_hz;
  const std::size_t points = maps.point_m.size(), frequencies = frequency_hz.size();
  const double voltage_v = scene.computation.terminal_voltage_v;
  maps.driver_pa = Table<Complex, 3>({scene.drivers.size(), frequencies, points});
  maps.channel_pa = Table<Complex, 3>({scene.channels.size(), frequencies, points});
  std::vector<ChannelDrive> drives;
  std::vector<std::vector<Complex>> responses;
  for (std::size_t c = 0; c < scene.channels.size(); ++c) {
    drives.push_back(drive_of(scene.channels[c], outputs));
    responses.push_back(
        channel_response(scene.presets.front().channels[c], frequency_hz, scene.computation.sample_rate_hz));
  }
  for (std::size_t f = 0; f < frequencies; ++f) {
    const Eigen::MatrixXcd transfer = map_transfer(scene, field, map, frequency_hz[f]);
    auto add = [&](Table<Complex, 3>& table, std::size_t row, std::size_t driver, Complex amount) {
      for (std::size_t p = 0; p < points; ++p)
        table(row, f, p) +=
            amount * transfer(static_cast<Eigen::Index>(p), static_cast<Eigen::Index>(driver));
    };
    for (std::size_t d = 0; d < scene.drivers.size(); ++d)
      add(maps.driver_pa, d, d, voltage_v * outputs.volume_velocity_m3_s(d, f));
    for (std::size_t c = 0; c < drives.size(); ++c)
      for (std::size_t i = 0; i < drives[c].drivers.size(); ++i)
        add(maps.channel_pa, c, static_cast<std::size_t>(drives[c].drivers[i]),
            voltage_v * responses[c][f] * drives[c].volume_velocity_m3_s[i][f]);
  }
  results.maps = std::move(maps);
}

void record_settings(const Scene& scene, Results& results) {
  const std::array<std::size_t, 2> shape{scene.presets.size(), scene.channels.size()};
  results.drives = Table<int, 2>({scene.channels.size(), scene.drivers.size()});
  for (std::size_t c = 0; c < scene.channels.size(); ++c)
    for (int d : scene.channels[c].drivers) results.drives(c, d) = 1;
  results.delay_s = results.gain_db = Table<double, 2>(shape);
  results.mute = Table<int, 2>(shape);
  for (std::size_t p = 0; p < shape[0]; ++p)
    for (std::size_t c = 0; c < shape[1]; ++c) {
      const ChannelSettings& settings = scene.presets[p].channels[c];
      results.delay_s(p, c) = settings.delay_s;
      results.gain_db(p, c) = settings.gain_db;
      results.mute(p, c) = settings.mute ? 1 : 0;
    }
}

void record_fields(const Scene& scene, const FieldSolution& fields, Results& results) {
  const std::size_t drivers = scene.drivers.size(), seats = scene.seats.size();
  results.field = fields.kind;
  results.transfer_pa_s_m3 = Table<Complex, 4>({drivers, seats, 2, results.frequency_hz.size()});
  results.transfer_pa_s_m3.values() = fields.transfer_pa_s_m3.front().values();
  if (!fields.join_coherence.empty()) {
    results.join_coherence = results.join_mismatch_db = Table<double, 3>({drivers, seats, 2});
    for (std::size_t d = 0; d < drivers; ++d)
      for (std::size_t n = 0; n < 2 * seats; ++n) {
        results.join_coherence(d, n / 2, n % 2) = fields.join_coherence(d, n);
        results.join_mismatch_db(d, n / 2, n % 2) = fields.join_mismatch_db(d, n);
      }
  }
  results.notes.insert(results.notes.end(), fields.notes.begin(), fields.notes.end());
  results.warnings.insert(results.warnings.end(), fields.warnings.begin(), fields.warnings.end());
  if (fields.waves.empty()) return;
  const WaveReport& wave = fields.waves.front();
  results.wave_top_hz = scene.computation.wave_top_hz;
  results.wave_error = wave.error_estimate;
  results.wave_degrees_of_freedom = wave.degrees_of_freedom;
  results.wave_basis_vectors = wave.basis_vectors;
  results.mode_ear_level = Table<double, 3>({wave.modes.size(), seats, 2});
  for (std::size_t m = 0; m < wave.modes.size(); ++m) {
    results.mode_frequency_hz.push_back(wave.modes[m].rigid_hz);
    results.mode_damped_hz.push_back(wave.modes[m].damped_hz);
    results.mode_q.push_back(wave.modes[m].q);
    results.mode_along.emplace_back(wave.modes[m].along[0], wave.modes[m].along[1], wave.modes[m].along[2]);
    for (std::size_t n = 0; n < 2 * seats; ++n)
      results.mode_ear_level(m, n / 2, n % 2) = wave.modes[m].ear_level[n];
  }
}

}  // namespace

Results predict_without_field(const Scene& scene) {
  Results results;
  results.program_version = CABINFIELD_VERSION;
  results.title = scene.title;
  results.wheel_side = scene.wheel_side;
  results.frequency_hz = scene.computation.frequency_hz;
  results.sound_speed_m_s = scene.air.sound_speed_m_s;
  results.density_kg_m3 = scene.air.density_kg_m3;
  results.terminal_voltage_v = scene.computation.terminal_voltage_v;
  name_axes(scene, results);
  record_positions(scene, results);
  SystemJudgement system = judge_system(scene);
  results.system = std::move(system.report);
  results.checks = check_plan(scene);
  results.checks.insert(results.checks.end(), system.checks.begin(), system.checks.end());
  return results;
}

Results predict(const Scene& scene, const PredictionOptions& options, const Progress& progress) {
  Results results = predict_without_field(scene);
  if (scene.drivers.empty()) return results;
  const SourceOutputs outputs = source_outputs(scene);
  results.volume_velocity_m3_s = outputs.volume_velocity_m3_s;
  results.excursion_m = outputs.excursion_m;
  results.impedance_ohm = outputs.impedance_ohm;
  record_settings(scene, results);
  if (scene.seats.empty()) return results;
  const FieldSolution fields = solve_fields(scene, options, progress);
  record_fields(scene, fields, results);
  if (!options.map_frequency_hz.empty() && !fields.wave_fields.empty() && fields.wave_fields.front())
    draw_maps(scene, *fields.wave_fields.front(), options.map_frequency_hz, results);
  if (!scene.channels.empty()) {
    respond(scene, outputs, fields, results);
    std::vector<ChannelDrive> drives;
    for (const Channel& channel : scene.channels) drives.push_back(drive_of(channel, outputs));
    find_loudest(scene, drives, fields, results);
  }
  explain(scene, results);
  judge_two_ears(scene, results);
  return results;
}

}  // namespace cabinfield
