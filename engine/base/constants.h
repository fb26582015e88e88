// The project's fixed numbers, once each: format versions, tunable tolerances, physics and practice with unit
// and source.
#pragma once

#include <numbers>

namespace cabinfield {

// --- Format versions -------------------------------------------------------------------------------------
inline constexpr int scene_format_version = 1;
inline constexpr int results_format_major = 1;
inline constexpr int results_format_minor = 0;

// --- Tolerances ------------------------------------------------------------------------------------------
/// Points closer than this are one point, m: a thousandth of the resolution of a tape measure.
inline constexpr double same_point_m = 1e-6;
/// A driver this close to its named surface is moved onto it, m.
inline constexpr double snap_limit_m = 0.050;
/// A taped length that differs from the drawn one by more than this gives a warning, and a fault, m.
inline constexpr double tape_warning_m = 0.020;
inline constexpr double tape_fault_m = 0.060;
/// Largest relative difference between two values of one driver parameter that still agree: data sheets round
/// to two or three figures.
inline constexpr double thiele_small_tolerance = 0.08;

// --- Physics and practice --------------------------------------------------------------------------------
inline constexpr double pi = std::numbers::pi;
/// Half the distance between the ears of the standard head, m (Duda & Martens 1998, a = 8.75 cm).
inline constexpr double head_radius_m = 0.0875;
/// Height of the centre of the head above the line where cushion and backrest meet, m: ISO 5128:1980 puts the
/// microphone 0.70 +- 0.05 m above it (value from memory); here in the centre plane of the seat.
inline constexpr double head_over_reference_m = 0.70;
/// Default depth of a leak to the outside, m: pressed sheet and its trim (common practice, no source).
inline constexpr double default_leak_depth_m = 0.020;
/// Reference sound pressure, Pa (ISO 1683).
inline constexpr double reference_pressure_pa = 20e-6;
/// Sample rate of channel filters without a named processor, Hz (common practice, no source).
inline constexpr double default_sample_rate_hz = 48000.0;
/// Voltage of a sensitivity rating, V RMS: 1 W into 8 ohm (common practice, no source).
inline constexpr double default_terminal_voltage_v = 2.83;
/// Default crest factor of music, dB: peaks of four times the RMS value, 20 lg 4 (common practice, no
/// source).
inline constexpr double music_crest_db = 12.0412;
/// End correction of a hole over its radius, flush with a wide flange: 8/(3 pi), the mass of air that a
/// piston in a plane moves at low frequency (Kinsler et al., Fundamentals of Acoustics, from memory).
inline constexpr double piston_end_correction = 8 / (3 * pi);
/// The same as rounded in vented-box practice, and that of a free end (Levine & Schwinger, Phys. Rev. 73
/// (1948) 383, from memory).
inline constexpr double flanged_end_correction = 0.85;
inline constexpr double free_end_correction = 0.613;
/// Kinematic viscosity of air at 20 degC, m2/s (handbooks of physics, from memory): the rounded value of
/// viscosity_pa_s over the density there (base/air.h), for losses that hardly depend on the temperature.
inline constexpr double kinematic_viscosity_20_degc_m2_s = 1.51e-5;

}  // namespace cabinfield
