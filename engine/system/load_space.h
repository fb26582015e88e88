// The load space: gaps and overlaps of bodies, and their load on each axle.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "system/plan.h"

namespace cabinfield {

/// Gap between two blocks along the axis of their greatest separation, m; negative where they overlap: how
/// far one must move.
double gap_m(const Body& one, const Body& other);

/// Least distance of a body inside a room to its walls, m; negative: how far it sticks out.
double inside_m(const Body& body, const Body& room);

/// Mass (kg) of all bodies and its shares on the front and rear axle, each body as a point above the middle
/// of its floor.
struct AxleLoad {
  double total_kg = 0, front_kg = 0, rear_kg = 0;
};
AxleLoad axle_load(const std::vector<Body>& bodies, const std::array<double, 2>& axle_x_m);

/// Inertial force (N) of a mass in a crash: 20 g (common practice, no source).
double crash_force_n(double mass_kg);

}  // namespace cabinfield
