// Names and seats on the other side of the car's middle plane.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "scene/specs.h"

namespace cabinfield {

/// "door_left" -> "door_right", "dash.right" -> "dash.left": the words left and right between separators.
std::string mirrored_name(const std::string& name);

/// The seat whose head is where that of `seat` has its mirror image; empty where there is none.
std::string mirrored_seat(const std::string& seat, const std::vector<Named<SeatSpec>>& seats);

/// Midpoint between the ears of a seat given either way, m.
std::optional<Vector3> head_position(const SeatSpec& spec);

}  // namespace cabinfield
