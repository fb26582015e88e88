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
/// Air for which data sheets are printed: temperature (K) and pressure (Pa) are the reference values of ISO
/// 9613-1; IEC 60268-1 allows measurements at 86 to 106 kPa and 15 to 35 degC (from memory). Humidity counts
/// for less than 0.4 % of any value.
inline constexpr double data_sheet_temperature_k = 293.15;
inline constexpr double data_sheet_pressure_pa = 101325.0;
inline constexpr double data_sheet_humidity = 0.50;
/// What covers an extractor vent where its flow resistance is not given, Pa s/m: rubber flaps and the felt
/// and trim before them (common practice, no source).
inline constexpr double vent_flow_resistance_pa_s_m = 15;
/// Width of the crack beside a window or door that is not quite shut, m (common practice, no source).
inline constexpr double ajar_gap_width_m = 0.005;
/// From one opening of a car to another on the other side, outside, m: the width of a car (common practice,
/// no source).
inline constexpr double openings_apart_m = 1.5;
/// Gaps round a partition where width and depth are not given, m: what is left between a bench's back plate
/// and the body (common practice, no source).
inline constexpr double partition_gap_width_m = 0.008, partition_gap_depth_m = 0.020;
/// Leaks of a door where width and depth are not given, m: cracks round the trim and what closes the holes of
/// the inner sheet, 15 cm2 being a crack of 3 m (common practice, no source).
inline constexpr double door_crack_width_m = 0.0005, door_crack_depth_m = 0.010;
/// Level of the sine for which losses of jets in openings are taken where none is given, dB: loud music in a
/// car (common practice, no source).
inline constexpr double default_played_level_db = 105;
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
