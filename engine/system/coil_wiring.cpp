#include "system/coil_wiring.h"

#include <fmt/format.h>

#include <cmath>
#include <stdexcept>

namespace cabinfield {
namespace {

/// Resistance over that of one coil.
double coil_factor(CoilConnection connection, int coils) {
  return connection == CoilConnection::series     ? coils
         : connection == CoilConnection::parallel ? 1.0 / coils
                                                  : 1.0;
}

}  // namespace

std::string CoilWay::words() const {
  const int drivers = in_series * in_parallel;
  std::string text = coils == CoilConnection::series     ? "coils in series"
                     : coils == CoilConnection::parallel ? "coils in parallel"
                                                         : "one coil";
  if (drivers == 1) return text;
  if (in_series == 1) return text + ", drivers in parallel";
  if (in_parallel == 1) return text + ", drivers in series";
  return fmt::format("{}, {} rows in parallel of {} drivers in series", text, in_parallel, in_series);
}

std::vector<CoilWay> coil_ways(int drivers, int coils) {
  if (drivers < 1 || coils < 1 || coils > 4)
    throw std::invalid_argument("a channel has at least one driver, of 1 to 4 coils");
  std::vector<CoilConnection> connections{CoilConnection::single};
  if (coils > 1) connections = {CoilConnection::series, CoilConnection::parallel, CoilConnection::single};
  std::vector<CoilWay> ways;
  for (CoilConnection connection : connections)
    for (int row = 1; row <= drivers; ++row)
      if (drivers % row == 0) ways.push_back({connection, row, drivers / row});
  return ways;
}

Complex load_of(const CoilWay& way, Complex one_ohm) {
  return one_ohm * static_cast<double>(way.in_series) / static_cast<double>(way.in_parallel);
}

double nominal_load_ohm(const CoilWay& way, int coils, double one_ohm, CoilConnection measured) {
  const double one_coil = one_ohm / coil_factor(measured, coils);
  return load_of(way, one_coil * coil_factor(way.coils, coils)).real();
}

LeastLoad least_load(const std::vector<Complex>& load_ohm, const std::vector<double>& frequency_hz) {
  LeastLoad least;
  for (std::size_t f = 0; f < load_ohm.size(); ++f) {
    const double modulus = std::abs(load_ohm[f]);
    if (f == 0 || modulus < least.modulus_ohm) least = {modulus, frequency_hz[f]};
  }
  return least;
}

}  // namespace cabinfield
