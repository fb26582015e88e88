// The plan around the sound, as plain values: amplifiers and processor, supply, load space, boxes. SI units;
// indices count from 0, outputs of units from 1 as they are printed on them.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "base/constants.h"
#include "base/fault.h"
#include "base/vector.h"
#include "system/amplifier.h"
#include "system/battery.h"
#include "system/conductor.h"

namespace cabinfield {

struct PlannedAmplifier {
  std::string name, model_name;
  Amplifier amplifier;
  double input_ohm = 10000;  ///< of one input (common practice, no source)
};

enum class InputKind { speaker, line, digital };
struct ProcessorInput {
  std::string name, from;
  InputKind kind = InputKind::speaker;
  double low_hz = 20, high_hz = 20000;
  std::vector<std::string> shaped;  ///< what the factory did to it: equaliser, delay, band_split
};
struct Processor {
  std::string model_name;
  int inputs = 0, outputs = 0;
  std::optional<int> bands;  ///< equaliser bands of a channel
  double sample_rate_hz = 0, latency_s = 0, delay_step_s = 0, longest_delay_s = 0;  ///< 0 where not known
  double least_load_ohm = 600;  ///< that an output drives (common practice, no source)
  std::vector<std::string> undoes;
  std::vector<ProcessorInput> feeds;
  std::vector<std::pair<std::string, bool>> still_sounds;  ///< which, and whether it does
};

/// The outputs that feed a channel.
struct ChannelFeed {
  int amplifier = -1;    ///< -1: not given
  int output = 0;        ///< 0: not given
  int bridged_with = 0;  ///< 0: not bridged
  int processor_output = 0;
};

struct PlannedCable {
  std::string from, to;
  CableRun run;
  std::optional<double> fuse_start_a, fuse_end_a;
};
struct PlannedCharger {
  std::string name, from, to;
  double current_a = 0, voltage_v = 14.4, efficiency = 0.9;
};
struct PlannedBattery : Battery {
  std::optional<bool> vented, fixed, charges_when_cold;
  bool in_cabin = false;  ///< it has a position in the load space
};
struct PlannedAlternator {
  double rated_a = 0;
  bool smart = false;
  double voltage_v = 14.2;
  double car_a = 0;  ///< what the car itself takes while its engine runs
};
struct SupplyPlan {
  std::optional<PlannedAlternator> alternator;
  std::vector<PlannedBattery> batteries;
  std::vector<PlannedCharger> chargers;
  std::vector<PlannedCable> cables;
  std::vector<std::string> junctions;
  std::optional<double> parked_drain_a;
  double ambient_c = default_ambient_c;
};

/// A body in the load space: an upright block above the middle of its floor.
struct Body {
  std::string name;
  std::string kind;  ///< box, amplifier, battery, thing
  Vector3 at = Vector3::Zero(), size_m = Vector3::Zero();
  double mass_kg = 0;  ///< 0 where not known
  double air_m = 0;    ///< clearance needed around it
  std::optional<bool> fixed;
};
struct LoadSpace {
  std::vector<Body> bodies;  ///< those with a position
  std::vector<Body> rooms;   ///< each body must fit in one of them; empty: not judged
  std::vector<Body> kept_free;
  std::optional<std::array<double, 2>> axle_x_m;  ///< front, rear
};

/// A box: its inside, and what has to fit in it.
struct BoxPlan {
  std::string name;
  Vector3 outside_m = Vector3::Zero();
  double board_m = 0;
  bool board_assumed = false;  ///< not given: 18 mm
  double net_m3 = 0;           ///< as given for its drivers
  double drivers_m3 = 0, bracing_m3 = 0;
  int drivers = 0;
  double port_diameter_m = 0, port_length_m = 0;  ///< 0 where it has none, or not known
  int ports = 0;
  double mass_kg = 0;  ///< with its drivers; from its boards where not given
  std::optional<bool> fixed;
};

struct Vehicle {
  bool high_voltage = false, drilling = true, seats_touched = false;
};

struct SystemPlan {
  std::vector<PlannedAmplifier> amplifiers;
  std::optional<Processor> processor;
  std::vector<ChannelFeed> feeds;  ///< of each channel, [C]
  std::optional<SupplyPlan> supply;
  LoadSpace space;
  std::vector<BoxPlan> boxes;
  std::optional<Vehicle> vehicle;
  double crest_db = music_crest_db;  ///< of music
};

}  // namespace cabinfield
