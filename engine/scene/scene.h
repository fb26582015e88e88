// The scene: immutable, checked, in SI units. Solvers and plan rules take `const Scene&` and never see a
// file.
#pragma once

#include <array>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/air.h"
#include "base/constants.h"
#include "base/fault.h"
#include "base/minimum_phase.h"
#include "base/vector.h"
#include "channel/channel.h"
#include "driver/driver_circuit.h"
#include "driver/loading.h"
#include "driver/thiele_small.h"
#include "field/field.h"
#include "geometry/cabin.h"
#include "geometry/diffraction_path.h"
#include "material/filling.h"
#include "material/leak.h"
#include "material/material.h"
#include "material/transfer_impedance.h"
#include "scene/specs.h"
#include "system/plan.h"

namespace cabinfield {

class CabinShelf;

struct Seat {
  std::string name;
  Vector3 head = Vector3::Zero();  ///< midpoint between the ears, m
  std::array<Vector3, 2> ear{};    ///< left, right; the listener faces forward
  bool sphere = false;             ///< ears on a rigid sphere, else points in free air
  bool operator==(const Seat&) const = default;
};

/// A driver at its position. The field uses `source`, the circuit uses `thiele_small` and `loading`.
struct MountedDriver {
  std::string name;
  SourceLocation location;  ///< of its position key: for faults found while solving the field
  std::string model_name;
  ThieleSmall thiele_small;  ///< with the coils as its channel wires them
  /// Ratio of its published response to the circuit: multiplies the volume velocity in the field.
  std::optional<MinimumPhaseGain> published;
  Loading loading;
  std::string box;  ///< name of its shared box; "" if it has its own loading
  int sharing = 1;  ///< drivers in the same box
  Source source;
  std::string surface;          ///< by name, also without a cabin
  std::optional<Vector3> rear;  ///< point where its back radiates into the cabin, m
  double grille_open_area = 1;
  double level_db = 0;  ///< added to the level from its parameters; not 0 only in Monte Carlo samples
  std::optional<double> opening_cutout_m, opening_depth_m;  ///< of the opening at its position
  std::optional<double> cutout_m, depth_m;                  ///< that the driver needs
  MountingSpec mounting;                                    ///< mounting data of its model
  OpeningSpec opening;                                      ///< opening data of its position
  std::optional<double> grille_gap_m;                       ///< from the cone's rim to the grille
  int coils = 1;
  CoilConnection coils_measured = CoilConnection::single;  ///< connection that its model's data are for
  CoilConnection coils_joined = CoilConnection::single;    ///< connection in its channel
  std::optional<double> nominal_impedance_ohm, power_w, lowest_highpass_hz;
  std::string pair;    ///< the driver mirrored to the other side, "" if none
  double moved_m = 0;  ///< distance moved onto its surface
};

struct Channel {
  std::string name;
  std::vector<int> drivers;  ///< indices into Scene::drivers
  DriverWiring wiring = DriverWiring::parallel;
};

/// Settings of every channel, by name.
struct Preset {
  std::string name;
  int state = 0;                          ///< state of the cabin: index into Scene::states
  std::vector<double> listen;             ///< weight of each seat, [S]; empty if the preset names no seats
  std::vector<ChannelSettings> channels;  ///< [C]
};

struct Mark {
  std::string name;
  Vector3 position = Vector3::Zero();
};

struct Tape {
  std::string from, to;
  Vector3 from_point = Vector3::Zero(), to_point = Vector3::Zero();  ///< m
  double taped_m = 0, drawn_m = 0;
};

struct Brief {
  std::vector<std::string> listen;
  std::optional<double> level_db;
  std::vector<std::string> keep;
};

struct Computation {
  std::vector<double> frequency_hz;
  FieldKind field = FieldKind::images;  ///< as in the scene; default joined if there is a cabin
  double wave_top_hz = 400;             ///< top frequency of the wave field
  int image_order = 3;
  double terminal_voltage_v = default_terminal_voltage_v;
  double sample_rate_hz = default_sample_rate_hz;  ///< of the channel filters
};

/// An opening to outside in a surface of the cabin.
struct CabinLeak {
  std::string name;
  Leak leak;
  int surface = -1;  ///< index into Cabin::surfaces() of its cabin
  bool operator==(const CabinLeak&) const = default;
};

/// One state of the car: windows down, bench folded, people aboard. Uses the materials and fillings of the
/// scene.
struct CabinState {
  std::string name;
  std::shared_ptr<const Cabin> cabin;                  ///< null where the scene has none
  std::shared_ptr<const DiffractionPath> ways;         ///< round its edges; null without a cabin
  std::vector<TransferImpedance> transfer_impedances;  ///< of each of its partitions, in their order
  std::vector<CabinLeak> leaks;
  std::vector<int>
      face;  ///< Source::face of each driver in this cabin, [D]; the rest of a source is unchanged
};

struct Scene {
  std::string title;
  std::string wheel_side;  ///< "left", "right" or ""
  Brief brief;
  Air air;
  std::shared_ptr<const Cabin> cabin;                  ///< null where the scene has none
  std::shared_ptr<const DiffractionPath> ways;         ///< round its edges; null where there is no cabin
  std::vector<Material> materials;                     ///< by index of Face::material; [0] is rigid
  std::vector<Filling> fillings;                       ///< by index of Block::filling
  std::vector<TransferImpedance> transfer_impedances;  ///< of each partition of the cabin, in their order
  std::vector<CabinLeak> leaks;                        ///< of the cabin as drawn
  std::vector<CabinState> states;  ///< [0] is as_is: the cabin, transfer impedances and leaks above
  std::vector<Seat> seats;
  std::vector<MountedDriver> drivers;
  std::vector<Channel> channels;
  std::vector<Preset> presets;  ///< [0] is as_drawn; empty where there are no channels
  std::vector<Mark> marks;
  std::vector<Tape> tapes;
  SystemPlan system;
  Computation computation;
  std::vector<std::string> notes;    ///< adjustments made to the scene
  std::vector<std::string> skipped;  ///< questions not answered, and the section that would answer each
};

/// A driver in the field of a state: same position, on the face of that state's cabin.
Source source_in(const Scene& scene, int driver, int state);

/// Checks the whole spec and builds the scene; empty if any fault was added. Every model that the spec names
/// must be in its materials and models. Cabins are taken from the shelf, or added to it.
std::optional<Scene> build_scene(const SceneSpec& spec, Faults& faults, CabinShelf* shelf = nullptr);

}  // namespace cabinfield
