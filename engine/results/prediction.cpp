#include "results/prediction.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <memory>

#include "base/constants.h"
#include "driver/driver_circuit.h"
#include "field/images/image_field.h"
#include "listening/arrival.h"
#include "listening/response.h"
#include "listening/sphere_ear.h"
#include "results/drawn_geometry.h"
#include "results/explained.h"
#include "results/two_ears.h"

namespace cabinfield {
namespace {

std::vector<Vector3> all_ears(const Scene& scene) {
  std::vector<Vector3> ears;
  for (const Seat& seat : scene.seats) ears.insert(ears.end(), seat.ear.begin(), seat.ear.end());
  return ears;
}

void name_axes(const Scene& scene, Results& results) {
  for (const Seat& seat : scene.seats) results.seat.push_back(seat.name);
  for (const PlacedDriver& driver : scene.drivers) results.driver.push_back(driver.name);
  for (const Channel& channel : scene.channels) results.channel.push_back(channel.name);
  for (const Preset& preset : scene.presets) results.preset.push_back(preset.name);
  for (const Mark& mark : scene.marks) {
    results.mark.push_back(mark.name);
    results.mark_position_m.push_back(mark.position);
  }
}

void place(const Scene& scene, Results& results) {
  const std::size_t seats = scene.seats.size(), drivers = scene.drivers.size();
  if (scene.cabin) results.geometry = drawn_geometry(*scene.cabin);
  std::vector<Source> sources;
  for (const PlacedDriver& driver : scene.drivers) {
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

/// Transfer functions [D,N,F] with grilles, and with what the back of a driver without a box adds.
Table<Complex, 3> solve_field(const Scene& scene, Results& results, const Progress& progress) {
  FieldQuestion question;
  question.ears = all_ears(scene);
  question.frequency_hz = scene.computation.frequency_hz;
  if (std::any_of(scene.seats.begin(), scene.seats.end(), [](const Seat& seat) { return seat.sphere; })) {
    std::vector<double> wavenumber;
    for (double f : question.frequency_hz) wavenumber.push_back(2 * pi * f / scene.air.sound_speed_m_s);
    question.patterns.resize(question.ears.size());
    for (std::size_t s = 0; s < scene.seats.size(); ++s) {
      if (!scene.seats[s].sphere) continue;
      const auto ears = sphere_ears(wavenumber, 0.5 * (scene.seats[s].ear[1] - scene.seats[s].ear[0]).norm());
      for (std::size_t e : {0, 1}) {
        question.ears[2 * s + e] = scene.seats[s].head;
        question.patterns[2 * s + e] = ears[e];
      }
    }
  }
  for (const PlacedDriver& driver : scene.drivers) question.sources.push_back(driver.source);
  for (const PlacedDriver& driver : scene.drivers)
    if (driver.rear) {
      Source rear;
      rear.name = driver.name + " (back)";
      rear.position = *driver.rear;
      question.sources.push_back(rear);
    }
  std::unique_ptr<Field> field;
  if (scene.cabin)
    field = std::make_unique<ImageField>(*scene.cabin, scene.materials, scene.air,
                                         scene.computation.image_order, scene.ways.get());
  else
    field = std::make_unique<FreeField>(scene.air);
  results.field = scene.cabin ? "images" : "free";
  FieldAnswer answer = field->solve(question, progress);
  results.warnings.insert(results.warnings.end(), answer.warnings.begin(), answer.warnings.end());

  const std::size_t ears = question.ears.size(), frequencies = question.frequency_hz.size();
  for (std::size_t d = 0; d < scene.drivers.size(); ++d)
    for (std::size_t s = 0; s < scene.seats.size(); ++s) {
      auto silent = [&](std::size_t n) {
        const Complex* row = answer.transfer_pa_s_m3.row(d, n);
        return std::all_of(row, row + frequencies, [](const Complex& value) { return value == Complex(0); });
      };
      if (silent(2 * s) && silent(2 * s + 1))
        results.warnings.push_back(
            fmt::format("{} at {}: no path reaches it, neither straight nor round edges nor by reflection; "
                        "what of its bass passes "
                        "through seats and panels, images cannot tell",
                        scene.drivers[d].name, scene.seats[s].name));
    }
  Table<Complex, 3> transfer({scene.drivers.size(), ears, frequencies});
  std::size_t rear = scene.drivers.size();
  for (std::size_t d = 0; d < scene.drivers.size(); ++d) {
    const std::vector<Complex> grille =
        grille_transmission(scene.drivers[d].grille_open_area, scene.air, question.frequency_hz);
    for (std::size_t n = 0; n < ears; ++n) {
      const Complex* front = answer.transfer_pa_s_m3.row(d, n);
      const Complex* back = scene.drivers[d].rear ? answer.transfer_pa_s_m3.row(rear, n) : nullptr;
      for (std::size_t f = 0; f < frequencies; ++f)
        transfer(d, n, f) = front[f] * grille[f] - (back != nullptr ? back[f] : Complex(0));
    }
    if (scene.drivers[d].rear) ++rear;
  }
  return transfer;
}

void solve_sources(const Scene& scene, Results& results) {
  const auto& frequency = scene.computation.frequency_hz;
  const std::array<std::size_t, 2> shape{scene.drivers.size(), frequency.size()};
  results.volume_velocity_m3_s = results.excursion_m = results.impedance_ohm = Table<Complex, 2>(shape);
  for (std::size_t d = 0; d < scene.drivers.size(); ++d) {
    const PlacedDriver& driver = scene.drivers[d];
    const DriverResponse response =
        solve_driver_circuit(driver.thiele_small, driver.loading, driver.sharing, scene.air, frequency);
    std::copy(response.volume_velocity_m3_s.begin(), response.volume_velocity_m3_s.end(),
              results.volume_velocity_m3_s.row(d));
    std::copy(response.excursion_m.begin(), response.excursion_m.end(), results.excursion_m.row(d));
    std::copy(response.impedance_ohm.begin(), response.impedance_ohm.end(), results.impedance_ohm.row(d));
  }
}

ChannelDrive drive_of(const Channel& channel, const Results& results) {
  const std::size_t frequencies = results.frequency_hz.size();
  ChannelDrive drive;
  drive.drivers = channel.drivers;
  auto row = [&](const Table<Complex, 2>& table, int d) {
    return std::vector<Complex>(table.row(d), table.row(d) + frequencies);
  };
  std::vector<std::vector<Complex>> impedance;
  for (int d : channel.drivers) impedance.push_back(row(results.impedance_ohm, d));
  const auto share = wiring_voltage_share(channel.wiring, impedance);
  for (std::size_t i = 0; i < channel.drivers.size(); ++i) {
    drive.volume_velocity_m3_s.push_back(row(results.volume_velocity_m3_s, channel.drivers[i]));
    for (std::size_t f = 0; f < frequencies; ++f) drive.volume_velocity_m3_s[i][f] *= share[i][f];
  }
  return drive;
}

void respond(const Scene& scene, const Table<Complex, 3>& transfer, Results& results) {
  const std::size_t presets = scene.presets.size(), channels = scene.channels.size(),
                    seats = scene.seats.size();
  const std::size_t ears = 2 * seats, frequencies = results.frequency_hz.size();
  results.channel_pa = Table<Complex, 5>({presets, channels, seats, 2, frequencies});
  results.signal_pa = Table<Complex, 5>({presets, 3, seats, 2, frequencies});
  for (std::size_t c = 0; c < channels; ++c) {
    const ChannelDrive drive = drive_of(scene.channels[c], results);
    for (std::size_t p = 0; p < presets; ++p) {
      const ChannelSettings& settings = scene.presets[p].channels[c];
      const auto response =
          channel_response(settings, results.frequency_hz, scene.computation.sample_rate_hz);
      const Table<Complex, 2> pressure =
          channel_pressure(drive, response, scene.computation.terminal_voltage_v, transfer);
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

}  // namespace

Results predict_places(const Scene& scene) {
  Results results;
  results.program_version = CABINFIELD_VERSION;
  results.title = scene.title;
  results.wheel_side = scene.wheel_side;
  results.frequency_hz = scene.computation.frequency_hz;
  results.sound_speed_m_s = scene.air.sound_speed_m_s;
  results.density_kg_m3 = scene.air.density_kg_m3;
  results.terminal_voltage_v = scene.computation.terminal_voltage_v;
  name_axes(scene, results);
  place(scene, results);
  results.checks = check_plan(scene);
  return results;
}

Results predict(const Scene& scene, const Progress& progress) {
  Results results = predict_places(scene);
  if (scene.drivers.empty()) return results;
  solve_sources(scene, results);
  record_settings(scene, results);
  if (scene.seats.empty()) return results;
  const Table<Complex, 3> transfer = solve_field(scene, results, progress);
  results.transfer_pa_s_m3 =
      Table<Complex, 4>({scene.drivers.size(), scene.seats.size(), 2, results.frequency_hz.size()});
  results.transfer_pa_s_m3.values() = transfer.values();
  if (!scene.channels.empty()) respond(scene, transfer, results);
  explain(scene, results);
  judge_two_ears(scene, results);
  return results;
}

}  // namespace cabinfield
