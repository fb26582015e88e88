// Outputs of the drivers of a scene, and of its channels as they are wired.
#pragma once

#include <vector>

#include "base/table.h"
#include "driver/driver_circuit.h"
#include "listening/response.h"
#include "scene/scene.h"

namespace cabinfield {

/// Per volt at each driver's terminals. [D,F]
struct SourceOutputs {
  Table<Complex, 2> volume_velocity_m3_s, excursion_m, impedance_ohm;
};

/// One driver by its circuit, corrected to its published response where it has one.
DriverResponse driver_output(const MountedDriver& driver, const Air& air,
                             const std::vector<double>& frequency_hz);

SourceOutputs source_outputs(const Scene& scene);

/// The channel's drivers and the output of each per volt at the channel's terminals, as they are wired.
ChannelDrive drive_of(const Channel& channel, const SourceOutputs& outputs);

}  // namespace cabinfield
