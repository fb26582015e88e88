#include "predict/source_outputs.h"

#include <algorithm>
#include <cmath>

namespace cabinfield {

DriverResponse driver_output(const MountedDriver& driver, const Air& air,
                             const std::vector<double>& frequency_hz) {
  DriverResponse response =
      solve_driver_circuit(driver.thiele_small, driver.loading, driver.sharing, air, frequency_hz);
  for (std::size_t f = 0; driver.published && f < frequency_hz.size(); ++f)
    response.volume_velocity_m3_s[f] *= (*driver.published)(frequency_hz[f]);
  if (driver.level_db != 0)
    for (Complex& value : response.volume_velocity_m3_s) value *= std::pow(10, driver.level_db / 20);
  return response;
}

SourceOutputs source_outputs(const Scene& scene) {
  const auto& frequency = scene.computation.frequency_hz;
  const std::array<std::size_t, 2> shape{scene.drivers.size(), frequency.size()};
  SourceOutputs outputs{Table<Complex, 2>(shape), Table<Complex, 2>(shape), Table<Complex, 2>(shape)};
  for (std::size_t d = 0; d < scene.drivers.size(); ++d) {
    const DriverResponse response = driver_output(scene.drivers[d], scene.air, frequency);
    std::copy(response.volume_velocity_m3_s.begin(), response.volume_velocity_m3_s.end(),
              outputs.volume_velocity_m3_s.row(d));
    std::copy(response.excursion_m.begin(), response.excursion_m.end(), outputs.excursion_m.row(d));
    std::copy(response.impedance_ohm.begin(), response.impedance_ohm.end(), outputs.impedance_ohm.row(d));
  }
  return outputs;
}

ChannelDrive drive_of(const Channel& channel, const SourceOutputs& outputs) {
  const std::size_t frequencies = outputs.impedance_ohm.shape()[1];
  ChannelDrive drive;
  drive.drivers = channel.drivers;
  auto row = [&](const Table<Complex, 2>& table, int d) {
    return std::vector<Complex>(table.row(d), table.row(d) + frequencies);
  };
  std::vector<std::vector<Complex>> impedance;
  for (int d : channel.drivers) impedance.push_back(row(outputs.impedance_ohm, d));
  const auto share = wiring_voltage_share(channel.wiring, impedance);
  for (std::size_t i = 0; i < channel.drivers.size(); ++i) {
    drive.volume_velocity_m3_s.push_back(row(outputs.volume_velocity_m3_s, channel.drivers[i]));
    for (std::size_t f = 0; f < frequencies; ++f) drive.volume_velocity_m3_s[i][f] *= share[i][f];
  }
  return drive;
}

}  // namespace cabinfield
