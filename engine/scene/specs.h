// A scene as read: plain values with their source locations; each key is checked by itself only. SI units.
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
#include "field/field_kind.h"
#include "scene/given.h"
#include "system/plan.h"

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
/// The name of a material, or the material itself.
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
  bool pole_vent = false;
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
/// A corner of a block: a point, or a point with the name of the face from it to the next.
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
/// How a partition transmits sound: as a panel, a porous sheet, or both in series.
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
/// What another state of the same car adds, removes, opens and closes.
struct StateSpec : Given {
  std::vector<LeakSpec> add_leaks;
  std::vector<Located<std::string>> remove_leaks;
  std::vector<BlockSpec> add_blocks;
  std::vector<Located<std::string>> remove_blocks, remove_partitions, open, close;
  std::optional<std::variant<SeatsWord, std::vector<Located<std::string>>>> occupied;
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
  std::optional<double> gap_m;
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
enum class Behind { glass, fixed };
struct OpeningSpec : Given {
  std::optional<double> cutout_m, depth_m, flange_m, magnet_m, spacer_m;
  std::optional<Behind> behind;
  bool airbag_checked = false;
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
  std::optional<double> board_m, bracing_m3, mass_kg;
  std::optional<bool> fixed;
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
struct AmplifierOutputSpec : Given {
  std::string unit;
  std::optional<int> channel, bridged_with;
};
/// Settings of a channel, a group or a preset.
struct ChannelSpec : Given {
  std::string like;
  std::vector<Located<std::string>> drives;
  std::optional<AmplifierOutputSpec> amplifier;
  std::optional<int> processor_output;
  std::optional<WiringSpec> wiring;
  std::optional<std::variant<SignalWord, SignalMixSpec>> signal;
  std::optional<CrossoverSpec> highpass, lowpass;
  std::vector<EqualiserBandSpec> equaliser;
  double gain_db = 0, delay_s = 0;
  bool inverted = false, mute = false;
};
struct GroupSpec : ChannelSpec {
  std::vector<Located<std::string>> members;
};
struct PresetSpec : Given {
  std::string state;
  std::vector<Named<double>> listen;
  std::vector<Named<ChannelSpec>> channels;
};

// --- System plan
// --------------------------------------------------------------------------------------------------
struct AmplifierRatingSpec : Given {
  double load_ohm = 0, power_w = 0;
  bool bridged = false;
};
struct AmplifierModelSpec : Given {
  std::string model, name, note;
  int channels = 1;
  std::vector<AmplifierRatingSpec> ratings;
  double supply_v = 14.4, distortion = 0.01, idle_a = 0.5, input_ohm = 10000;
  bool regulated = false;
  std::optional<double> least_load_ohm, least_bridged_ohm, efficiency, efficiency_at_eighth, mass_kg;
  AmplifierClass kind = AmplifierClass::d;
  std::vector<double> size_m;
};
struct AmplifierSpec : Given {
  std::optional<std::variant<std::string, AmplifierModelSpec>> model;
  std::optional<Vector3> floor_m;  ///< middle of its floor
  bool turned = false;
};
struct ProcessorModelSpec : Given {
  std::string model, name, note;
  int inputs = 0, outputs = 0, bands = 0;
  double sample_rate_hz = 0, latency_s = 0, delay_step_s = 0, longest_delay_s = 0, least_load_ohm = 600;
  std::vector<std::string> undoes;
  std::vector<double> size_m;
  std::optional<double> mass_kg;
};
struct ProcessorInputSpec : Given {
  std::string from;
  InputKind kind = InputKind::speaker;
  std::pair<double, double> band_hz{20, 20000};
  std::vector<std::string> shaped;
};
struct StillSoundsSpec : Given {
  std::optional<bool> chimes, parking, pedestrian, emergency_call, hands_free;
};
struct ProcessorSpec : Given {
  std::optional<std::variant<std::string, ProcessorModelSpec>> model;
  std::vector<Named<ProcessorInputSpec>> inputs;
  StillSoundsSpec still_sounds;
  std::optional<Vector3> floor_m;  ///< middle of its floor
};
struct BatterySpec : Given {
  std::string kind, name, note;  ///< from the head of the model file
  std::string model;
  std::optional<Chemistry> chemistry;
  std::optional<double> capacity_ah, rest_v, resistance_ohm, peukert, rated_hours, depth_of_discharge,
      continuous_a, peak_a, charge_a, charge_v, mass_kg;
  std::optional<bool> vented, fixed, charges_when_cold;
  std::vector<double> size_m;
  std::optional<Vector3> floor_m;  ///< middle of its floor
};
struct AlternatorSpec : Given {
  double rated_a = 0, voltage_v = 14.2;
  double car_a = 40;  ///< (common practice, no source)
  bool smart = false;
};
struct ChargerSpec : Given {
  std::string from, to;
  double current_a = 0, voltage_v = 14.4, efficiency = 0.9;
};
struct CableSpec : Given {
  std::string from, to;
  std::optional<double> area_m2, fuse_start_a, fuse_end_a;
  std::optional<int> gauge;
  double length_m = 0;
  bool returns_in_cable = true;
  int connections = 4;
};
struct SupplySpec : Given {
  std::optional<AlternatorSpec> alternator;
  std::vector<Named<BatterySpec>> batteries;
  std::vector<Named<ChargerSpec>> chargers;
  std::vector<CableSpec> cables;
  std::vector<Located<std::string>> junctions;
  std::optional<double> parked_drain_a;
  double ambient_k = default_ambient_c + 273.15;
};
struct RoomSpec : Given {
  std::optional<Vector3> floor_m, size_m;  ///< middle of its floor; length, width, height
};
struct ThingSpec : Given {
  std::optional<Vector3> floor_m, size_m;  ///< middle of its floor; length, width, height
  std::optional<double> mass_kg;
  double air_m = 0;
};
struct AxlesSpec : Given {
  double front_x_m = 0, rear_x_m = 0;
};
struct LoadSpaceSpec : Given {
  std::vector<Named<RoomSpec>> rooms, keep_free;
  std::vector<Named<ThingSpec>> things;
  std::optional<AxlesSpec> axles;
};
struct VehicleSpec : Given {
  bool high_voltage = false, drilling = true, seats_touched = false;
};

// --- Computation, brief
// ------------------------------------------------------------------------------------------
struct FrequenciesSpec : Given {
  double from_hz = 10, to_hz = 20000;
  int per_octave = 48;
  std::vector<double> list_hz;
};
struct ComputeSpec : Given {
  FrequenciesSpec frequencies;
  std::optional<FieldKind> field;
  double wave_top_hz = 400;
  std::optional<int> image_order;
  double terminal_voltage_v = default_terminal_voltage_v;
  double crest_db = music_crest_db;
};
struct BriefSpec : Given {
  std::vector<Located<std::string>> listen;
  std::optional<double> level_db;
  std::vector<std::string> keep;
};
enum class WheelSide { left, right };
/// A model in the scene itself, of any kind; a driver by default.
using ModelSpec = std::variant<DriverModelSpec, AmplifierModelSpec, ProcessorModelSpec, BatterySpec,
                               MaterialSpec, FillingSpec>;

struct SceneSpec : Given {
  int version = 0;
  std::string title;
  double length_unit_m = 1;
  std::optional<WheelSide> wheel_side;
  AirSpec air;
  std::optional<BriefSpec> brief;
  std::vector<Named<MaterialSpec>> materials;
  std::vector<Named<FillingSpec>> fillings;
  std::vector<Named<ModelSpec>> models;
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
  std::vector<Named<AmplifierSpec>> amplifiers;
  std::optional<ProcessorSpec> processor;
  std::optional<SupplySpec> supply;
  std::optional<LoadSpaceSpec> load_space;
  std::optional<VehicleSpec> vehicle;
  ComputeSpec compute;
  /// Not keys: names of models, in the library and in the scene, for messages.
  std::vector<std::string> library_materials, library_fillings, library_models, library_amplifiers,
      library_processors, library_batteries;
};

}  // namespace cabinfield
