// Uncertain properties of a car, and their spreads.
#pragma once

#include <array>
#include <cstdint>

namespace cabinfield {

/// Spreads are +- as in base/spread.h: 95 in 100 are within. Defaults are common practice, no source.
struct Uncertainty {
  int samples = 0;  ///< 0: no Monte Carlo samples
  std::uint64_t seed = 1;
  double tape_m = 0.010;           ///< each coordinate of each driver
  double ear_along_m = 0.030;      ///< of the head, fore and aft
  double ear_across_m = 0;         ///< to the sides
  double ear_up_m = 0.040;         ///< up and down
  double cabin_size_m = 0;         ///< length, width and height; above 0 every sample needs its own cabin
  double driver_resonance = 0.15;  ///< part of Fs
  double driver_q = 0.15;          ///< part of each Q
  double driver_vas = 0.20;        ///< part of Vas
  double driver_level_db = 1;
  double box_volume = 0.05;                             ///< part of the volume behind a driver
  double material_impedance = 1.5;                      ///< a factor, up and down; 1 is none
  std::array<double, 2> temperature_k{273.15, 308.15};  ///< from, to; uniform
};

/// Default number of samples of a study with `doubt`.
inline constexpr int usual_samples = 200;

}  // namespace cabinfield
