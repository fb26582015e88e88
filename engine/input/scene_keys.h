// The declared keys of scene and model files: the one place where a key gets its name, kind, limits and help.
#pragma once

#include "input/keys.h"
#include "scene/specs.h"

namespace cabinfield {

// Those that mirror_of, like or a battery's model fill (inheritance.cpp).
template <>
inline constexpr bool filled_from_another<DriverSpec> = true;
template <>
inline constexpr bool filled_from_another<SeatSpec> = true;
template <>
inline constexpr bool filled_from_another<PatchSpec> = true;
template <>
inline constexpr bool filled_from_another<BlockSpec> = true;
template <>
inline constexpr bool filled_from_another<ChannelSpec> = true;
template <>
inline constexpr bool filled_from_another<PartitionSpec> = true;
template <>
inline constexpr bool filled_from_another<LeakSpec> = true;
template <>
inline constexpr bool filled_from_another<BatterySpec> = true;

const Keys<SceneSpec>& scene_keys();
const Keys<DriverSpec>& driver_keys();
const Keys<SeatSpec>& seat_keys();
const Keys<PatchSpec>& patch_keys();
const Keys<BlockSpec>& block_keys();
const Keys<ChannelSpec>& channel_keys();
const Keys<MaterialSpec>& material_keys();
const Keys<DriverModelSpec>& driver_model_keys();
const Keys<PanelSpec>& panel_keys();
const Keys<ThieleSmallSpec>& thiele_small_keys();
const Keys<RatingSpec>& rating_keys();
const Keys<MountingSpec>& mounting_keys();
const Keys<FillingSpec>& filling_keys();
const Keys<BoxSpec>& box_keys();
const Keys<BoxMaterialsSpec>& box_materials_keys();
const Keys<OutlineCornerSpec>& outline_corner_keys();
const Keys<SideSpec>& side_keys();
const Keys<BlockCornerSpec>& block_corner_keys();
const Keys<PartitionSpec>& partition_keys();
const Keys<PassesSpec>& passes_keys();
const Keys<PartitionOpeningSpec>& partition_opening_keys();
const Keys<CabinSpec>& cabin_keys();
const Keys<LeakSpec>& leak_keys();
const Keys<StateSpec>& state_keys();

const Keys<AmplifierModelSpec>& amplifier_model_keys();
const Keys<AmplifierRatingSpec>& amplifier_rating_keys();
const Keys<AmplifierSpec>& amplifier_keys();
const Keys<AmplifierOutputSpec>& amplifier_output_keys();
const Keys<ProcessorModelSpec>& processor_model_keys();
const Keys<ProcessorSpec>& processor_keys();
const Keys<ProcessorInputSpec>& processor_input_keys();
const Keys<StillSoundsSpec>& still_sounds_keys();
const Keys<BatterySpec>& battery_keys();
const Keys<SupplySpec>& supply_keys();
const Keys<AlternatorSpec>& alternator_keys();
const Keys<ChargerSpec>& charger_keys();
const Keys<CableSpec>& cable_keys();
const Keys<LoadSpaceSpec>& load_space_keys();
const Keys<RoomSpec>& room_keys();       ///< a part of the car, which stretches with it
const Keys<RoomSpec>& keep_free_keys();  ///< a thing that keeps its size
const Keys<ThingSpec>& thing_keys();
const Keys<AxlesSpec>& axles_keys();
const Keys<VehicleSpec>& vehicle_keys();

/// A model in a scene, of any kind.
ValueKind<ModelSpec> any_model();

/// Every key of scene and model files as plain text: section, key, kind and limits, help.
std::string scene_key_reference();

}  // namespace cabinfield
