// Every way to join the coils of a channel's drivers so that all of them work alike.
//
// The coils of each driver are joined in series or parallel (or one of them is left open), and the drivers
// are laid in rows: so many in series, and so many such rows in parallel. Other ways give some coil another
// share of the power than the next, or the same load as one of these.
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

/// All ways for that many alike drivers of that many coils. Both at least 1; coils at most 4.
std::vector<CoilWay> coil_ways(int drivers, int coils);

/// Load (ohm) of all drivers together from the impedance of one with its coils joined as the way says.
Complex load_of(const CoilWay& way, Complex one_ohm);

/// Nominal load (ohm) of a way from that of one driver with its coils joined as it was measured.
double nominal_load_ohm(const CoilWay& way, int coils, double one_ohm, CoilConnection measured);

/// The smallest modulus of a load over frequency and where it is; 0 Hz where the list is empty.
struct LeastLoad {
  double modulus_ohm = 0, frequency_hz = 0;
};
LeastLoad least_load(const std::vector<Complex>& load_ohm, const std::vector<double>& frequency_hz);

}  // namespace cabinfield
