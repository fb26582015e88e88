// What is behind the cone.
#pragma once

#include <variant>

namespace cabinfield {

/// The back wave is gone and the air behind is soft: an infinite baffle (Small 1972).
struct InfiniteBaffle {
  bool operator==(const InfiniteBaffle&) const = default;
};
/// The driver brings its own back chamber; its published parameters include it.
struct BuiltIn {
  bool operator==(const BuiltIn&) const = default;
};
/// A tight box; absorption loss as qa, the Q of the box alone at the system's resonance (50 unless given;
/// Small 1972).
struct SealedBox {
  double volume_m3 = 0;
  double qa = 50;
  bool operator==(const SealedBox&) const = default;
};
/// A box with a port: tuned frequency or port length; one or more ports of one diameter; leakage loss ql
/// (Small 1973). Where both are given the tuning holds.
struct VentedBox {
  double volume_m3 = 0;
  double tuning_hz = 0;        ///< 0 where the port's length is given instead
  double port_length_m = 0;    ///< used where tuning_hz is 0
  double port_diameter_m = 0;  ///< 0 where only the tuning is known: port velocity is then not computed
  int ports = 1;
  double ql = 7;
  bool operator==(const VentedBox&) const = default;
};
/// A door: a box that leaks into the cabin through holes of the given area in its inner panel.
/// The defaults below the area are common practice, no source: openings the size of a cable gland in bare
/// sheet, and a cavity no less lossy than the boxes for which Small (1973) found a Q of 7.
struct DoorCavity {
  double volume_m3 = 0;
  double leak_area_m2 = 0;
  double hole_diameter_m = 0.025;    ///< of each; a leak smaller than one such hole is one round hole
  double panel_thickness_m = 0.001;  ///< length of the holes without end corrections
  double qa = 7;                     ///< as in SealedBox
  bool operator==(const DoorCavity&) const = default;
};

using Loading = std::variant<InfiniteBaffle, BuiltIn, SealedBox, VentedBox, DoorCavity>;

/// Port length (m) that tunes the box, with a flanged inner end and a free outer one; may come out negative:
/// then no such port exists. Throws std::invalid_argument without a volume, tuning and port diameter.
double port_length_m(const VentedBox& box, double sound_speed_m_s);

/// Frequency (Hz) to which the box is tuned: as given, or from the port's length. Throws
/// std::invalid_argument where neither the tuning nor volume, port length and diameter are given.
double tuning_hz(const VentedBox& box, double sound_speed_m_s);

/// Area of all ports together, m2; 0 where the diameter is not known.
double port_area_m2(const VentedBox& box);

}  // namespace cabinfield
