// What the drivers of a scene put into the air, and how its channels drive them.
#pragma once

#include <vector>

#include "base/table.h"
#include "driver/driver_circuit.h"
#include "listening/response.h"
#include "scene/scene.h"

namespace cabinfield {

/// Per volt at each driver's own terminals. [D,F]
struct SourceOutputs {
  Table<Complex, 2> volume_velocity_m3_s, excursion_m, impedance_ohm;
};

/// One driver by its circuit, above its lowest octave by its published response where it has one.
DriverResponse driver_output(const MountedDriver& driver, const Air& air,
                             const std::vector<double>& frequency_hz);

SourceOutputs source_outputs(const Scene& scene);

/// The channel's drivers with what each of them puts out per volt at the channel's terminals, as they are
/// wired.
ChannelDrive drive_of(const Channel& channel, const SourceOutputs& outputs);

}  // namespace cabinfield
