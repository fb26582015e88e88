// What stands where in the load space: overlaps, what does not fit, what it weighs on each axle.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "system/plan.h"

namespace cabinfield {

/// The least gap between two blocks along the axis on which they are furthest apart, m; negative where they
/// overlap, then how far one must move.
double gap_m(const Body& one, const Body& other);

/// How far a body lies within a room, m; negative where it sticks out, then by how much.
double inside_m(const Body& body, const Body& room);

/// Mass (kg) of all bodies, and what of it rests on the front and the rear axle, each body as a point over
/// the middle of its floor.
struct AxleLoad {
  double total_kg = 0, front_kg = 0, rear_kg = 0;
};
AxleLoad axle_load(const std::vector<Body>& bodies, const std::array<double, 2>& axle_x_m);

/// Force (N) with which a crash pulls at a mass: 20 g (common practice, no source).
double crash_force_n(double mass_kg);

}  // namespace cabinfield
