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
/// Two points closer than this are the same point for the geometry, m: a thousandth of what a tape can show.
inline constexpr double same_point_m = 1e-6;
/// A driver this close to its named surface is moved onto it, m.
inline constexpr double snap_limit_m = 0.050;
/// A taped length this far from the drawn one draws a warning, and a fault, m.
inline constexpr double tape_warning_m = 0.020;
inline constexpr double tape_fault_m = 0.060;
/// How far two statements of one driver parameter may differ before they contradict each other, relative:
/// data sheets round to two or three figures.
inline constexpr double thiele_small_tolerance = 0.08;

// --- Physics and practice --------------------------------------------------------------------------------
inline constexpr double pi = std::numbers::pi;
/// Half the distance between the ears of the standard head, m (Duda & Martens 1998, a = 8.75 cm).
inline constexpr double head_radius_m = 0.0875;
/// Height of a head's middle over the point where cushion and back meet, m: ISO 5128:1980 puts the microphone
/// 0.70 +- 0.05 m above it (value from memory); here in the seat's middle plane.
inline constexpr double head_over_reference_m = 0.70;
/// Depth of a leak to outside where none is given, m: pressed sheet and its trim (common practice, no
/// source).
inline constexpr double default_leak_depth_m = 0.020;
/// Reference sound pressure, Pa (ISO 1683).
inline constexpr double reference_pressure_pa = 20e-6;
/// Sample rate at which channel filters run where no processor is named, Hz (common practice, no source).
inline constexpr double default_sample_rate_hz = 48000.0;
/// The voltage of a sensitivity rating, V RMS: 1 W into 8 ohm (common practice, no source).
inline constexpr double default_terminal_voltage_v = 2.83;

}  // namespace cabinfield
