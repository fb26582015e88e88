// All that one prediction found, as plain values. Written by write_results, described in FORMAT.md.
//
// Letters of the shapes: S seats, E = 2 ears (left, right), D drivers, C channels, P presets (the first is
// as_drawn), F frequencies. Complex values are phasors of e^{+j omega t}, RMS. A part that the scene does not
// hold has an empty table and is left out of the file.
#pragma once

#include <array>
#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "base/air.h"
#include "base/table.h"
#include "base/vector.h"
#include "field/field_kind.h"
#include "plan/check.h"
#include "plan/system_report.h"
#include "predict/limit_report.h"

namespace cabinfield {

/// One of the strongest reflections of a driver at an ear, against its direct sound there (or the way round
/// edges).
struct ReflectionRow {
  int seat = 0, ear = 0, driver = 0;
  int order = 0;         ///< how many surfaces it meets
  std::string surfaces;  ///< in the order met, joined by " > "
  double length_m = 0;
  double arrival_s = 0;
  double level_db = 0;        ///< against the direct sound, at 1 kHz
  double first_notch_hz = 0;  ///< 0 where it comes with the direct sound
};

/// A notch of a channel at an ear, and the reflection that digs it.
struct NotchRow {
  int channel = 0, seat = 0, ear = 0, driver = 0;
  double frequency_hz = 0;
  double depth_db = 0;   ///< against the mean of the octave about it, negative
  std::string surfaces;  ///< "" where no single reflection is to blame
  double extra_m = 0;    ///< how much longer its path is than the direct one
};

/// Triangles of the cabin and its blocks as drawn.
struct DrawnGeometry {
  std::vector<Vector3> vertex_m;
  std::vector<std::array<int, 3>> triangle;
  std::vector<int> triangle_surface;  ///< index into surface
  std::vector<std::string> surface;
};

/// Pressure all over the cabin at a few frequencies, on its surfaces and on a level through the ears.
struct FieldMaps {
  std::vector<double> frequency_hz;  ///< [G]
  std::vector<std::string> surface;  ///< the last is "ear height"
  std::vector<Vector3> point_m;      ///< [Q]; points on the two sides of a partition are two points
  std::vector<std::array<int, 3>> triangle;
  std::vector<int> triangle_surface;  ///< index into surface
  Table<Complex, 3> driver_pa;        ///< [D,G,Q] each driver by itself at the terminal voltage
  Table<Complex, 3> channel_pa;       ///< [C,G,Q] as in preset as_drawn
};

struct Results {
  std::string program_version;
  std::string title;
  std::string scene_source;
  std::string scene_resolved;
  FieldKind field = FieldKind::free;  ///< how the transfer functions were found
  std::string wheel_side;             ///< "left" | "right" | ""

  std::vector<double> frequency_hz;
  std::vector<std::string> seat, driver, channel, preset;
  double sound_speed_m_s = 0;
  double density_kg_m3 = 0;

  DrawnGeometry geometry;
  std::vector<Vector3> driver_position_m, driver_axis;  ///< [D], after snapping; axis a unit vector
  std::vector<double> driver_radius_m;                  ///< [D] of the moving piston, from its effective area
  Table<Vector3, 2> ear_position_m;                     ///< [S,E]
  std::vector<std::string> mark;                        ///< names of marks
  std::vector<Vector3> mark_position_m;

  Table<double, 3> path_length_m;  ///< [S,E,D]
  Table<double, 3> arrival_s;      ///< [S,E,D]
  Table<int, 3> direct;            ///< [S,E,D] 1 where the straight line is free
  Table<double, 3> angle_deg;      ///< [S,D,3] side (+ to the right), above eye line, off the driver's axis

  std::vector<ReflectionRow> reflection;
  std::vector<NotchRow> notch;  ///< of preset as_drawn, deepest first

  Table<Complex, 4> transfer_pa_s_m3;        ///< [D,S,E,F] ear pressure per unit volume velocity
  std::optional<double> terminal_voltage_v;  ///< RMS for a full-scale sine, before channel gain
  Table<Complex, 2> volume_velocity_m3_s;    ///< [D,F] per volt
  Table<Complex, 2> excursion_m;             ///< [D,F] peak, per volt RMS
  Table<Complex, 2> impedance_ohm;           ///< [D,F]
  Table<Complex, 5> channel_pa;              ///< [P,C,S,E,F]
  Table<Complex, 5> signal_pa;               ///< [P,3,S,E,F] left only, right only, both alike (mono)

  /// How far waves and images agree over the octave where they are joined, 0 to 1, and the level of the
  /// images over that of the waves; both 0 where one is silent. [D,S,E]
  Table<double, 3> join_coherence, join_mismatch_db;

  std::optional<double> wave_top_hz;  ///< up to where the wave field was solved
  std::optional<double> wave_error;   ///< ReductionEstimate::error of the first state
  std::optional<double> wave_degrees_of_freedom, wave_basis_vectors;
  std::vector<double> mode_frequency_hz;  ///< [M] with rigid walls
  std::vector<double> mode_damped_hz;     ///< [M] with the materials given
  std::vector<double> mode_q;             ///< [M] with the materials given
  std::vector<Vector3> mode_along;        ///< [M] share of the motion along x, y, z
  Table<double, 3> mode_ear_level;        ///< [M,S,E] pressure over the largest in the cabin, walls rigid

  FieldMaps maps;  ///< empty unless asked for; of the cabin as it is

  std::vector<double> impulse_time_s;  ///< [N], 0 at emission; empty unless asked for
  Table<double, 4>
      impulse_pa_m3;  ///< [D,S,E,N] ear pressure per unit of volume put out at once, Pa/m3 a sample

  Table<int, 2> interaural_known;  ///< [P,S] 1 where the mono signal has a side at all
  Table<double, 2>
      interaural_time_s;  ///< [P,S] of the mono signal, 200 Hz to 1.5 kHz, right ear first where above 0
  Table<double, 2> interaural_coherence;  ///< [P,S] 0 to 1
  Table<double, 2> interaural_level_db;   ///< [P,S] 1.5 to 8 kHz, right louder where above 0
  Table<double, 2> side_angle_deg;        ///< [P,S] from which mono appears to come, right above 0

  /// The same of each channel alone, [C,S], in the first preset in which it plays; known where it is within
  /// 12 dB of its loudest octave from 200 Hz to 1.5 kHz.
  Table<int, 2> channel_interaural_known;
  Table<double, 2> channel_interaural_time_s, channel_interaural_coherence, channel_interaural_level_db,
      channel_side_angle_deg;

  Table<int, 2> drives;               ///< [C,D] 1 where the channel feeds the driver
  Table<double, 2> delay_s, gain_db;  ///< [P,C] as set
  Table<int, 2> mute;                 ///< [P,C]

  SystemReport system;  ///< empty tables where the scene has no such section
  LimitReport limits;
  std::vector<Check> checks;
  std::vector<std::string> notes;  ///< what was done on the way, in words
  std::vector<std::string> warnings;
};

}  // namespace cabinfield
