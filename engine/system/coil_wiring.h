// Every wiring of the coils of a channel's drivers that loads all of them equally.
//
// The coils of each driver are in series or parallel (or one of them is left open), and the drivers in rows:
// some in series, and such rows in parallel. Any other wiring shares the power unequally, or has the load of
// one of these.
#pragma once

#include <string>
#include <vector>

#include "base/vector.h"
#include "driver/driver_circuit.h"

namespace cabinfield {

struct CoilWay {
  CoilConnection coils = CoilConnection::single;
  int in_series = 1;          ///< drivers in a row
  int in_parallel = 1;        ///< rows
  std::string words() const;  ///< "coils in series, drivers in parallel"

  friend bool operator==(const CoilWay&, const CoilWay&) = default;
};

/// All wirings of that many equal drivers with that many coils. Both at least 1; coils at most 4.
std::vector<CoilWay> coil_ways(int drivers, int coils);

/// Load (ohm) of all drivers from the impedance of one, its coils joined as in the wiring.
Complex load_of(const CoilWay& way, Complex one_ohm);

/// Nominal load (ohm) of a wiring from that of one driver with its coils joined as measured.
double nominal_load_ohm(const CoilWay& way, int coils, double one_ohm, CoilConnection measured);

/// The smallest modulus of a load over frequency, and its frequency; 0 Hz for an empty list.
struct LeastLoad {
  double modulus_ohm = 0, frequency_hz = 0;
};
LeastLoad least_load(const std::vector<Complex>& load_ohm, const std::vector<double>& frequency_hz);

}  // namespace cabinfield
