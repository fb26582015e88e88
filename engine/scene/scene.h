// The scene: immutable, checked, in SI units. Solvers and judges take `const Scene&` and never see a file.
#pragma once

#include <array>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/air.h"
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
  std::array<Vector3, 2> ear{};    ///< left, right, of a listener who faces forward
  bool sphere = false;  ///< heard through a rigid sphere that carries the ears, else by bare points
  bool operator==(const Seat&) const = default;
};

/// A driver in its place. What the field needs is `source`, what the circuit needs is thiele_small and
/// loading.
struct MountedDriver {
  std::string name;
  SourceLocation location;  ///< of its position in the file: for what shows only when the field is solved
  std::string model_name;
  ThieleSmall thiele_small;  ///< with its coils as the channel joins them
  /// What its published response has over the circuit: multiplies the volume velocity that the field sees.
  std::optional<MinimumPhaseGain> published;
  Loading loading;
  std::string box;  ///< of the scene's boxes; "" where its own loading is given
  int sharing = 1;  ///< drivers in the same box
  Source source;
  std::string surface;          ///< by name, also where there is no cabin to hold it
  std::optional<Vector3> rear;  ///< where its back radiates into the cabin, m
  double grille_open_area = 1;
  double level_db = 0;  ///< louder than its parameters make it; other than 0 where it is in doubt
  std::optional<double> opening_cutout_m, opening_depth_m;  ///< what the place offers
  std::optional<double> cutout_m, depth_m;                  ///< what the driver needs
  MountingSpec mounting;                                    ///< all that its model says of it
  OpeningSpec opening;                                      ///< all that its place says
  std::optional<double> grille_gap_m;                       ///< from the cone's rim to the grille
  int coils = 1;
  CoilConnection coils_measured = CoilConnection::single;  ///< as its model's figures hold
  CoilConnection coils_joined = CoilConnection::single;    ///< as its channel joins them
  std::optional<double> nominal_impedance_ohm, power_w, lowest_highpass_hz;
  std::string pair;    ///< the driver on the other side, "" where there is none
  double moved_m = 0;  ///< by being put onto its surface
};

struct Channel {
  std::string name;
  std::vector<int> drivers;  ///< indices into Scene::drivers
  DriverWiring wiring = DriverWiring::parallel;
};

/// Every channel's settings under one name.
struct Preset {
  std::string name;
  int state = 0;                          ///< of the cabin that it is heard in: index into Scene::states
  std::vector<double> listen;             ///< weight of each seat, [S]; empty where the preset names none
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
  FieldKind field = FieldKind::images;  ///< as the scene says; joined unless said where it has a cabin
  double wave_top_hz = 400;             ///< up to where the wave field reaches
  int image_order = 3;
  double terminal_voltage_v = 2.83;
  double sample_rate_hz = 48000;  ///< at which channel filters run
};

/// An opening to outside in a surface of the cabin.
struct CabinLeak {
  std::string name;
  Leak leak;
  int surface = -1;  ///< index into Cabin::surfaces() of the cabin that it belongs to
  bool operator==(const CabinLeak&) const = default;
};

/// One condition of the car: windows down, bench folded, people aboard. Materials and fillings are the
/// scene's.
struct CabinState {
  std::string name;
  std::shared_ptr<const Cabin> cabin;                  ///< null where the scene has none
  std::shared_ptr<const DiffractionPath> ways;         ///< round its edges; null where there is no cabin
  std::vector<TransferImpedance> transfer_impedances;  ///< of each of its partitions, in their order
  std::vector<CabinLeak> leaks;
  std::vector<int> face;  ///< of each driver, [D]: Source::face in this cabin; the rest of a source stays
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
  std::vector<CabinLeak> leaks;                        ///< of the cabin as it is
  std::vector<CabinState> states;                      ///< [0] is as_is: the cabin, passages and leaks above
  std::vector<Seat> seats;
  std::vector<MountedDriver> drivers;
  std::vector<Channel> channels;
  std::vector<Preset> presets;  ///< [0] is as_drawn; empty where there are no channels
  std::vector<Mark> marks;
  std::vector<Tape> tapes;
  SystemPlan system;
  Computation computation;
  std::vector<std::string> notes;    ///< what was done to the scene on the way, in words
  std::vector<std::string> skipped;  ///< what cannot be answered, and the section that would enable it
};

/// A driver as the field of a state sees it: at the same place, on its face of that state's cabin.
Source source_in(const Scene& scene, int driver, int state);

/// Checks the whole spec and builds the scene; empty where any fault was added. Every model that the spec
/// names must stand in its materials and models.
/// Cabins are taken from the shelf, or put there.
std::optional<Scene> build_scene(const SceneSpec& spec, Faults& faults, CabinShelf* shelf = nullptr);

}  // namespace cabinfield
