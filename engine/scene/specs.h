// A scene as read: plain values with their places, nothing checked beyond its own key. SI units.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "base/constants.h"
#include "base/vector.h"
#include "channel/channel.h"
#include "driver/driver_circuit.h"
#include "driver/published_response.h"
#include "scene/given.h"

namespace cabinfield {

// --- Air ---------------------------------------------------------------------------------------------------
struct AirSpec : Given {
  std::optional<double> temperature_k, humidity, pressure_pa, sound_speed_m_s, density_kg_m3;
};

// --- Models ------------------------------------------------------------------------------------------------
struct PanelSpec : Given {
  double surface_density_kg_m2 = 0, resonance_hz = 0, loss_factor = 0.1;
};

struct MaterialSpec : Given {
  std::string model, name, note;
  std::optional<std::variant<double, std::vector<double>>> specific_impedance;
  std::vector<std::pair<double, double>> absorption;
  std::optional<PanelSpec> panel;
};
/// A name from the library, or the material itself.
using MaterialChoice = std::variant<std::string, MaterialSpec>;

struct FillingSpec : Given {
  std::string model, name, note;
  double flow_resistivity_pa_s_m2 = 0, porosity = 0.95, tortuosity = 1.4;
  std::optional<double> viscous_length_m, thermal_length_m;
};
using FillingChoice = std::variant<std::string, FillingSpec>;

struct ThieleSmallSpec : Given {
  std::optional<double> Fs_hz, Qes, Qms, Qts, Vas_m3, Re_ohm, Le_h, Sd_m2, Mms_kg, Cms_m_n, Rms_kg_s, Bl_tm,
      Xmax_m;
};
struct RatingSpec : Given {
  std::optional<double> power_w, nominal_impedance_ohm, lowest_highpass_hz;
};
struct MountingSpec : Given {
  std::optional<double> cutout_m, depth_m, flange_m, displacement_m3, mass_kg, magnet_diameter_m;
};
struct DriverModelSpec : Given {
  std::string model, name, note;
  ThieleSmallSpec thiele_small;
  int coils = 1;
  std::optional<CoilConnection> coils_measured;
  std::vector<ResponsePoint> response;
  RatingSpec rating;
  MountingSpec mounting;
};
using DriverModelChoice = std::variant<std::string, DriverModelSpec>;

// --- Cabin -------------------------------------------------------------------------------------------------
struct BoxSpec : Given {
  double length_m = 0, width_m = 0, height_m = 0;
};
struct BoxMaterialsSpec : Given {
  std::optional<MaterialChoice> all, front, rear, left, right, floor, roof;
};
struct OutlineCornerSpec : Given {
  double x = 0, z = 0;
  std::string surface;
  std::optional<MaterialChoice> material;
};
struct SideSpec : Given {
  double z = 0, y = 0;
  std::string surface;
  std::optional<MaterialChoice> material;
};
struct PatchSpec : Given {
  std::string surface, name, mirror_of;
  std::optional<std::array<double, 2>> x, y, z;
  std::optional<MaterialChoice> material;
};
/// A corner of a block: bare, or with the name of the face from it to the next.
struct BlockCornerSpec : Given {
  double x = 0;
  std::optional<double> y, z;
  std::string face;
};
using BlockCornerChoice = std::variant<Vector2, BlockCornerSpec>;
struct BlockSpec : Given {
  std::string name, mirror_of;
  std::vector<BlockCornerChoice> profile, plan;
  std::optional<std::array<double, 2>> y, z;
  std::optional<MaterialChoice> material;
  std::optional<FillingChoice> filling;
};
enum class PassesWord { rigid };
/// What a partition lets through: a panel, a porous sheet, or one behind the other.
struct PassesSpec : Given {
  std::optional<PanelSpec> panel;
  std::optional<FillingChoice> filling;
  std::optional<double> thickness_m;
};
using PassesChoice = std::variant<PassesWord, PassesSpec>;
struct PartitionOpeningSpec : Given {
  std::string name;
  std::optional<Vector3> centre;
  double width_m = 0, height_m = 0;
  bool open = true;
};
struct PartitionSpec : Given {
  std::string name, mirror_of;
  std::vector<Vector2> line;
  std::optional<std::array<double, 2>> y;
  std::optional<PassesChoice> passes;
  std::vector<PartitionOpeningSpec> openings;
};
struct LeakSpec : Given {
  std::string name, surface, mirror_of;
  std::optional<double> area_m2;
  double depth_m = default_leak_depth_m;
};
struct CabinSpec : Given {
  std::optional<BoxSpec> box;
  BoxMaterialsSpec materials;
  std::vector<OutlineCornerSpec> profile;
  std::vector<SideSpec> sides;
  std::vector<PatchSpec> patches;
  std::vector<BlockSpec> blocks;
  std::vector<PartitionSpec> partitions;
  std::vector<LeakSpec> leaks;
};
enum class SeatsWord { all };
/// What another condition of the same car adds, takes away, opens and shuts.
struct StateSpec : Given {
  std::vector<LeakSpec> add_leaks;
  std::vector<Placed<std::string>> remove_leaks;
  std::vector<BlockSpec> add_blocks;
  std::vector<Placed<std::string>> remove_blocks, remove_partitions, open, close;
  std::optional<std::variant<SeatsWord, std::vector<Placed<std::string>>>> occupied;
};

// --- Seats, marks, tapes
// -------------------------------------------------------------------------------------
enum class HeadShape { none, sphere };
struct SeatSpec : Given {
  HeadShape head_shape = HeadShape::none;
  std::optional<Vector3> head, reference;
  std::string mirror_of;
};
struct TapeSpec : Given {
  std::variant<std::string, Vector3> from, to;
  double length_m = 0;
};

// --- Drivers
// -------------------------------------------------------------------------------------------------
struct AimSpec : Given {
  std::string seat;
  std::optional<Vector3> point, direction;
};
struct GrilleSpec : Given {
  double open_area = 1;
};
struct VentedSpec : Given {
  double volume_m3 = 0, ql = 7;
  std::optional<double> tuning_hz, port_length_m, port_diameter_m;
  int ports = 1;
};
struct DoorSpec : Given {
  double volume_m3 = 0, leak_area_m2 = 0;
};
enum class LoadingWord { infinite_baffle, built_in };
struct LoadingMappingSpec : Given {
  std::optional<double> sealed_m3;
  double qa = 50;
  std::optional<VentedSpec> vented;
  std::optional<DoorSpec> door;
  std::string box;
  std::optional<Vector3> rear_into;
};
using LoadingChoice = std::variant<LoadingWord, LoadingMappingSpec>;
struct OpeningSpec : Given {
  std::optional<double> cutout_m, depth_m;
};
struct DriverSpec : Given {
  std::optional<DriverModelChoice> model;
  std::optional<Vector3> position;
  std::string surface, mirror_of;
  double setback_m = 0;
  std::optional<GrilleSpec> grille;
  std::optional<AimSpec> aim;
  std::optional<double> pod_radius_m;
  std::optional<LoadingChoice> loading;
  std::optional<OpeningSpec> opening;
};
struct OutsideSpec : Given {
  std::optional<Vector3> at;
  std::optional<Vector3> size_m;  ///< length, width, height
};
struct SharedBoxSpec : Given {
  std::optional<double> sealed_m3;
  double qa = 50;
  std::optional<VentedSpec> vented;
  std::optional<OutsideSpec> outside;
};

// --- Channels
// --------------------------------------------------------------------------------------------------
enum class SignalWord { left, right, mono, side };
struct SignalMixSpec : Given {
  double left = 0, right = 0;
};
struct CrossoverSpec : Given {
  CrossoverFamily family = CrossoverFamily::linkwitz_riley;
  int order = 4;
  double frequency_hz = 0;
};
struct EqualiserBandSpec : Given {
  EqualiserShape shape = EqualiserShape::peak;
  double frequency_hz = 0, gain_db = 0, q = 0.70710678118654752;
};
struct WiringSpec : Given {
  DriverWiring drivers = DriverWiring::parallel;
  std::optional<CoilConnection> coils;
};
/// Settings as a channel, a group or a preset may give them.
struct ChannelSpec : Given {
  std::string like;
  std::vector<Placed<std::string>> drives;
  std::optional<WiringSpec> wiring;
  std::optional<std::variant<SignalWord, SignalMixSpec>> signal;
  std::optional<CrossoverSpec> highpass, lowpass;
  std::vector<EqualiserBandSpec> equaliser;
  double gain_db = 0, delay_s = 0;
  bool inverted = false, mute = false;
};
struct GroupSpec : ChannelSpec {
  std::vector<Placed<std::string>> members;
};
struct PresetSpec : Given {
  std::string state;
  std::vector<Named<double>> listen;
  std::vector<Named<ChannelSpec>> channels;
};

// --- Computation, brief
// ------------------------------------------------------------------------------------------
struct FrequenciesSpec : Given {
  double from_hz = 10, to_hz = 20000;
  int per_octave = 48;
  std::vector<double> list_hz;
};
/// How the sound field is found.
enum class FieldKind { images, wave, joined };
struct ComputeSpec : Given {
  FrequenciesSpec frequencies;
  std::optional<FieldKind> field;
  double wave_top_hz = 400;
  std::optional<int> image_order;
  double terminal_voltage_v = 2.83;
};
struct BriefSpec : Given {
  std::vector<Placed<std::string>> listen;
  std::optional<double> level_db;
  std::vector<std::string> keep;
};
enum class WheelSide { left, right };

struct SceneSpec : Given {
  int version = 0;
  std::string title;
  double length_unit_m = 1;
  std::optional<WheelSide> wheel_side;
  AirSpec air;
  std::optional<BriefSpec> brief;
  std::vector<Named<MaterialSpec>> materials;
  std::vector<Named<FillingSpec>> fillings;
  std::vector<Named<DriverModelSpec>> models;
  std::optional<CabinSpec> cabin;
  std::vector<Named<StateSpec>> states;
  std::vector<Named<SeatSpec>> seats;
  double ear_spacing_m = 0.175;
  std::vector<Named<Vector3>> marks;
  std::vector<TapeSpec> tape;
  std::vector<Named<DriverSpec>> drivers;
  std::vector<Named<SharedBoxSpec>> boxes;
  std::vector<Named<ChannelSpec>> channels;
  std::vector<Named<GroupSpec>> groups;
  std::vector<Named<PresetSpec>> presets;
  ComputeSpec compute;
  /// Not keys: what the model library holds besides, for the messages.
  std::vector<std::string> library_materials, library_fillings, library_models;
};

}  // namespace cabinfield
