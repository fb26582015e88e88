#include "driver/back_circuit.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "base/constants.h"

namespace cabinfield {
namespace {

void require(bool holds, const char* message) {
  if (!holds) throw std::invalid_argument(message);
}

// Builds the circuit as the whole box has it, drivers together.
struct Builder {
  const ThieleSmall& set;
  int sharing;
  const Air& air;

  BackCircuit operator()(const InfiniteBaffle&) const { return {}; }
  BackCircuit operator()(const BuiltIn&) const { return {}; }

  BackCircuit operator()(const SealedBox& box) const { return cavity(box.volume_m3, box.qa); }

  BackCircuit operator()(const VentedBox& box) const {
    require(box.volume_m3 > 0, "a vented box needs a volume above 0");
    require(box.ql > 0, "ql must be above 0");
    const double tuned = 2 * pi * tuning_hz(box, air.sound_speed_m_s);
    BackCircuit circuit;
    circuit.compliance_m3_pa = compliance(box.volume_m3);
    circuit.leak_m3_pa_s = tuned * circuit.compliance_m3_pa / box.ql;
    circuit.vent_mass_kg_m4 = 1 / (tuned * tuned * circuit.compliance_m3_pa);
    circuit.vent_area_m2 = port_area_m2(box);
    return circuit;
  }

  // Mass and viscous resistance of round holes in a sheet: U. Ingard, J. Acoust. Soc. Am. 25 (1953) 1037;
  // Beranek & Mellow, Acoustics, perforated sheets: R = rho sqrt(2 omega nu) (t/a + 2)/(pi a^2), M = rho (t
  // + 1.7 a)/(pi a^2) a hole (from memory). The holes radiate together into a half space, rho omega^2/(2 pi
  // c).
  BackCircuit operator()(const DoorCavity& door) const {
    require(door.leak_area_m2 >= 0, "the leak area of a door must be 0 or above");
    require(door.hole_diameter_m > 0 && door.panel_thickness_m >= 0, "the holes of a door need a size");
    BackCircuit circuit = cavity(door.volume_m3, door.qa);
    if (door.leak_area_m2 == 0) return circuit;
    const double area = door.leak_area_m2;
    const double radius = std::min(door.hole_diameter_m / 2, std::sqrt(area / pi));
    const double length = door.panel_thickness_m + 2 * flanged_end_correction * radius;
    const double rho = air.density_kg_m3;
    circuit.vent_mass_kg_m4 = rho * length / area;
    circuit.vent_viscous_pa_s_m3 =
        rho * std::sqrt(2 * kinematic_viscosity_20_degc_m2_s) * (door.panel_thickness_m / radius + 2) / area;
    circuit.vent_radiation_pa_s_m3 = rho / (2 * pi * air.sound_speed_m_s);
    circuit.vent_area_m2 = area;
    return circuit;
  }

  double compliance(double volume_m3) const {
    return volume_m3 / (air.density_kg_m3 * air.sound_speed_m_s * air.sound_speed_m_s);
  }

  BackCircuit cavity(double volume_m3, double qa) const {
    require(volume_m3 > 0, "a box needs a volume above 0");
    require(qa > 0, "qa must be above 0");
    const double stiffening = std::sqrt(1 + sharing * set.Vas_m3 / volume_m3);
    BackCircuit circuit;
    circuit.compliance_m3_pa = compliance(volume_m3);
    circuit.absorption_pa_s_m3 = 1 / (2 * pi * set.Fs_hz * stiffening * circuit.compliance_m3_pa * qa);
    return circuit;
  }
};

}  // namespace

BackCircuit back_circuit(const Loading& loading, const ThieleSmall& set, int sharing, const Air& air) {
  require(sharing >= 1, "a box is shared by one driver or more");
  BackCircuit circuit = std::visit(Builder{set, sharing, air}, loading);
  circuit.compliance_m3_pa /= sharing;
  circuit.absorption_pa_s_m3 *= sharing;
  circuit.leak_m3_pa_s /= sharing;
  circuit.vent_mass_kg_m4 *= sharing;
  circuit.vent_viscous_pa_s_m3 *= sharing;
  circuit.vent_radiation_pa_s_m3 *= sharing;
  circuit.vent_area_m2 /= sharing;
  return circuit;
}

BackCircuit::Flow BackCircuit::at(double angular_frequency) const {
  if (compliance_m3_pa == 0) return {.impedance_pa_s_m3 = 0, .net = 1, .vent = 0};
  const Complex cavity(absorption_pa_s_m3, -1 / (angular_frequency * compliance_m3_pa));
  Complex admittance = 1.0 / cavity + leak_m3_pa_s;
  Complex vent = 0;
  if (vent_mass_kg_m4 > 0) {
    const double resistance = vent_viscous_pa_s_m3 * std::sqrt(angular_frequency) +
                              vent_radiation_pa_s_m3 * angular_frequency * angular_frequency;
    vent = 1.0 / Complex(resistance, angular_frequency * vent_mass_kg_m4);
    admittance += vent;
  }
  const Complex impedance = 1.0 / admittance;
  // A cone that moves out leaves the cavity rarefied: the vent draws air in.
  return {.impedance_pa_s_m3 = impedance, .net = impedance / cavity, .vent = -impedance * vent};
}

}  // namespace cabinfield
