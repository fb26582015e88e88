// What nobody knows exactly about a car, and how far off it may be.
#pragma once

#include <array>
#include <cstdint>

namespace cabinfield {

/// Spreads are what a bare +- says on a measuring sheet: nearly all of the truth lies within. Defaults are
/// common practice, no source.
struct Uncertainty {
  int samples = 0;  ///< none unless asked for
  std::uint64_t seed = 1;
  double tape_m = 0.010;           ///< each coordinate of each driver
  double ear_along_m = 0.030;      ///< of the head, fore and aft
  double ear_across_m = 0;         ///< to the sides
  double ear_up_m = 0.040;         ///< up and down
  double cabin_size_m = 0;         ///< each of length, width and height; above 0 every draw is another cabin
  double driver_resonance = 0.15;  ///< part of Fs
  double driver_q = 0.15;          ///< part of each Q
  double driver_vas = 0.20;        ///< part of Vas
  double driver_level_db = 1;
  double box_volume = 0.05;                             ///< part of the volume behind a driver
  double material_impedance = 1.5;                      ///< a factor, up and down; 1 is none
  std::array<double, 2> temperature_k{273.15, 308.15};  ///< from, to; anything between is as likely
};

/// Draws where a study asks for doubt without saying how many.
inline constexpr int usual_samples = 200;

}  // namespace cabinfield
