// Wavenumber of a plane wave in a fluid without losses.
#pragma once

#include <span>
#include <vector>

#include "base/constants.h"

namespace cabinfield {

/// k = omega/c = 2 pi f/c, rad/m.
inline double wavenumber_at(double frequency_hz, double sound_speed_m_s) {
  return 2 * pi * frequency_hz / sound_speed_m_s;
}

/// The same at each frequency.
inline std::vector<double> wavenumbers_at(std::span<const double> frequency_hz, double sound_speed_m_s) {
  std::vector<double> wavenumber_per_m;
  for (double f : frequency_hz) wavenumber_per_m.push_back(wavenumber_at(f, sound_speed_m_s));
  return wavenumber_per_m;
}

}  // namespace cabinfield
