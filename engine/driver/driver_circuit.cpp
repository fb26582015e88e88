#include "driver/driver_circuit.h"

#include <cmath>
#include <stdexcept>

#include "base/constants.h"
#include "driver/back_circuit.h"

namespace cabinfield {
namespace {

// Re, Le and Bl of a connection relative to one coil.
struct CoilRatio {
  double resistance, inductance, force_factor;
};

CoilRatio coil_ratio(CoilConnection connection, double coils) {
  switch (connection) {
    case CoilConnection::series:
      return {coils, coils * coils, coils};
    case CoilConnection::parallel:
      return {1 / coils, 1, 1};
    case CoilConnection::single:
      break;
  }
  return {1, 1, 1};
}

}  // namespace

ThieleSmall reconnect_coils(const ThieleSmall& set, int coils, CoilConnection from, CoilConnection to) {
  if (coils < 1) throw std::invalid_argument("a driver needs at least one coil");
  const CoilRatio before = coil_ratio(from, coils);
  const CoilRatio after = coil_ratio(to, coils);
  ThieleSmall joined = set;
  joined.Re_ohm *= after.resistance / before.resistance;
  joined.Le_h *= after.inductance / before.inductance;
  joined.Bl_tm *= after.force_factor / before.force_factor;
  joined.Qes = 2 * pi * set.Fs_hz * set.Mms_kg * joined.Re_ohm / (joined.Bl_tm * joined.Bl_tm);
  joined.Qts = joined.Qes * set.Qms / (joined.Qes + set.Qms);
  return joined;
}

DriverResponse solve_driver_circuit(const ThieleSmall& set, const Loading& loading, int sharing,
                                    const Air& air, const std::vector<double>& frequency_hz) {
  const BackCircuit back = back_circuit(loading, set, sharing, air);
  const bool ported = std::holds_alternative<VentedBox>(loading) && back.vent_area_m2 > 0;

  DriverResponse response;
  response.volume_velocity_m3_s.reserve(frequency_hz.size());
  response.excursion_m.reserve(frequency_hz.size());
  response.impedance_ohm.reserve(frequency_hz.size());
  if (ported) response.port_velocity_m_s.reserve(frequency_hz.size());

  for (double frequency : frequency_hz) {
    if (!(frequency > 0)) throw std::invalid_argument("the driver circuit needs frequencies above 0");
    const double omega = 2 * pi * frequency;
    const BackCircuit::Flow flow = back.at(omega);
    const Complex electrical(set.Re_ohm, omega * set.Le_h);
    const Complex mechanical = Complex(set.Rms_kg_s, omega * set.Mms_kg - 1 / (omega * set.Cms_m_n)) +
                               set.Sd_m2 * set.Sd_m2 * flow.impedance_pa_s_m3;
    const double motor = set.Bl_tm * set.Bl_tm;
    const Complex velocity = set.Bl_tm / (electrical * mechanical + motor);
    const Complex cone_flow = set.Sd_m2 * velocity;

    response.volume_velocity_m3_s.push_back(cone_flow * flow.net);
    response.excursion_m.push_back(std::sqrt(2.0) * velocity / Complex(0, omega));
    response.impedance_ohm.push_back(electrical + motor / mechanical);
    if (ported)
      response.port_velocity_m_s.push_back(std::sqrt(2.0) * std::abs(cone_flow * flow.vent) /
                                           back.vent_area_m2);
  }
  return response;
}

}  // namespace cabinfield
