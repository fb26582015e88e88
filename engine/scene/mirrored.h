// Specs seen in the car's middle plane: y changes sign, left and right in names swap.
#pragma once

#include <optional>
#include <string>

#include "scene/specs.h"

namespace cabinfield {

/// "door_left" -> "door_right", "dash.right" -> "dash.left": the words left and right between separators.
std::string mirrored_name(const std::string& name);

SeatSpec mirrored(SeatSpec spec);
PatchSpec mirrored(PatchSpec spec);
BlockSpec mirrored(BlockSpec spec);
PartitionSpec mirrored(PartitionSpec spec);
LeakSpec mirrored(LeakSpec spec);
/// An aim at a seat goes to the seat at the mirrored place; empty `seat` where `seats` hold none there.
DriverSpec mirrored(DriverSpec spec, const std::vector<Named<SeatSpec>>& seats);

/// Midpoint between the ears of a seat given either way, m.
std::optional<Vector3> head_position(const SeatSpec& spec);

}  // namespace cabinfield
