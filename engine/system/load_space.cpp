#include "system/load_space.h"

#include <algorithm>
#include <limits>

namespace cabinfield {
namespace {

struct Corners {
  Vector3 low, high;
};
Corners corners(const Body& body) {
  const Vector3 half(body.size_m.x() / 2, body.size_m.y() / 2, 0);
  return {body.at - half, body.at + half + Vector3(0, 0, body.size_m.z())};
}

}  // namespace

double gap_m(const Body& one, const Body& other) {
  const Corners a = corners(one), b = corners(other);
  double gap = -std::numeric_limits<double>::infinity();
  for (int axis = 0; axis < 3; ++axis)
    gap = std::max({gap, b.low[axis] - a.high[axis], a.low[axis] - b.high[axis]});
  return gap;
}

double inside_m(const Body& body, const Body& room) {
  const Corners a = corners(body), b = corners(room);
  return std::min((a.low - b.low).minCoeff(), (b.high - a.high).minCoeff());
}

AxleLoad axle_load(const std::vector<Body>& bodies, const std::array<double, 2>& axle_x_m) {
  AxleLoad load;
  for (const Body& body : bodies) {
    const double rear = (body.at.x() - axle_x_m[0]) / (axle_x_m[1] - axle_x_m[0]);
    load.total_kg += body.mass_kg;
    load.rear_kg += body.mass_kg * rear;
    load.front_kg += body.mass_kg * (1 - rear);
  }
  return load;
}

double crash_force_n(double mass_kg) { return mass_kg * 20 * 9.80665; }

}  // namespace cabinfield
