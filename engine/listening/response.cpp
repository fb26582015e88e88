#include "listening/response.h"

#include "base/constants.h"

namespace cabinfield {

std::vector<Complex> grille_transmission(double open_area, const Air& air,
                                         const std::vector<double>& frequency_hz) {
  constexpr double thickness_m = 1e-3, hole_m = 2e-3;
  const double mass = air.density_kg_m3 * (thickness_m + flanged_end_correction * hole_m) / open_area;
  std::vector<Complex> factor;
  for (double f : frequency_hz)
    factor.push_back(open_area >= 1
                         ? Complex(1)
                         : 1.0 / Complex(1, 2 * pi * f * mass / (2 * air.characteristic_impedance())));
  return factor;
}

Table<Complex, 2> channel_pressure(const ChannelDrive& drive, const std::vector<Complex>& response,
                                   double voltage_v, const Table<Complex, 3>& transfer_pa_s_m3) {
  const auto [sources, ears, frequencies] = transfer_pa_s_m3.shape();
  Table<Complex, 2> pressure({ears, frequencies});
  for (std::size_t d = 0; d < drive.drivers.size(); ++d)
    for (std::size_t e = 0; e < ears; ++e) {
      const Complex* transfer = transfer_pa_s_m3.row(drive.drivers[d], e);
      Complex* sum = pressure.row(e);
      for (std::size_t f = 0; f < frequencies; ++f)
        sum[f] += transfer[f] * drive.volume_velocity_m3_s[d][f] * (voltage_v * response[f]);
    }
  return pressure;
}

}  // namespace cabinfield
