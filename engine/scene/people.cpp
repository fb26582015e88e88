#include "scene/people.h"

#include <algorithm>
#include <array>
#include <optional>

namespace cabinfield {
namespace {

constexpr double trunk_width_m = 0.36, thighs_width_m = 0.28, legs_width_m = 0.22;
constexpr double trunk_depth_m = 0.235, thigh_height_m = 0.15;
constexpr double shoulder_m = -0.20, seat_m = -0.70;  // heights from the ears
/// How deep the body sinks into foam, so that faces of body and seat never nearly coincide.
constexpr double sinks_m = 0.05;

/// Distance from a point along a direction to the end of the air; empty if beyond the limit, or if the point
/// is not in air.
std::optional<double> air_ends_m(const Cabin& cabin, const Vector3& from, const Vector3& along,
                                 double limit_m) {
  constexpr double step_m = 0.002;
  if (!cabin.in_air(from)) return std::nullopt;
  for (double gone = step_m; gone <= limit_m; gone += step_m)
    if (!cabin.in_air(from + gone * along)) return gone;
  return std::nullopt;
}

/// Contact points relative to the ears: x of the back at seat and shoulders, z of the cushion under the hips
/// and towards the knees.
struct Posture {
  double back_low_m = -0.10, back_high_m = 0.08;
  double under_hip_m = -0.66, under_knee_m = -0.60;
};

Posture posture_on(const Cabin& cabin, const Vector3& head) {
  Posture posture;
  // Probe from the trunk; a seat out of reach belongs to someone else.
  constexpr double reach_m = 0.30, before_m = -0.15;
  auto back_at = [&](double height_m, double leaning_m) -> std::optional<double> {
    const Vector3 from = head + Vector3(before_m + leaning_m, 0, height_m);
    const auto free_m = air_ends_m(cabin, from, Vector3::UnitX(), reach_m);
    return free_m ? std::optional(before_m + leaning_m + *free_m) : std::nullopt;
  };
  const auto low = back_at(seat_m + 0.10, -0.10), high = back_at(shoulder_m - 0.05, 0);
  if (low && high) {
    // Extrapolate from the two heights to the ends of the trunk.
    const double slope = std::clamp((*high - *low) / ((shoulder_m - 0.05) - (seat_m + 0.10)), 0.0, 0.8);
    posture.back_low_m = *low - 0.10 * slope;
    posture.back_high_m = posture.back_low_m + (shoulder_m - seat_m) * slope;
  }
  auto seat_at = [&](double x_m) -> std::optional<double> {
    constexpr double over_m = seat_m + 0.25;
    const auto free_m = air_ends_m(cabin, head + Vector3(x_m, 0, over_m), -Vector3::UnitZ(), reach_m);
    return free_m ? std::optional(over_m - *free_m) : std::nullopt;
  };
  const double near_m = posture.back_low_m - 0.12, far_m = posture.back_low_m - 0.30;
  if (const auto near = seat_at(near_m), far = seat_at(far_m); near && far) {
    const double slope = std::clamp((*far - *near) / (near_m - far_m), -0.2, 0.5);
    posture.under_hip_m = *near;
    posture.under_knee_m = *near + slope * 0.42;
  }
  posture.back_low_m += sinks_m;
  posture.back_high_m += sinks_m;
  posture.under_hip_m -= sinks_m;
  posture.under_knee_m -= sinks_m;
  return posture;
}

}  // namespace

std::vector<Block> person_on(const std::string& seat, const Vector3& head, int material, const Cabin& cabin) {
  const Posture at = posture_on(cabin, head);
  const double low = at.back_low_m, hip = at.under_hip_m, knee = at.under_knee_m;
  const double knee_x = low - 0.59, hip_x = low - 0.17;
  struct Part {
    const char* name;
    std::array<Vector2, 4> corner;  // (x, z) from the ears
    double width_m;
  };
  const std::array<Part, 3> parts{{{"trunk",
                                    {{{low - trunk_depth_m, hip},
                                      {low, hip},
                                      {at.back_high_m, shoulder_m},
                                      {at.back_high_m - trunk_depth_m, shoulder_m}}},
                                    trunk_width_m},
                                   {"thighs",
                                    {{{knee_x, knee},
                                      {hip_x, hip + 0.01},
                                      {hip_x, hip + 0.01 + thigh_height_m},
                                      {knee_x, knee + thigh_height_m}}},
                                    thighs_width_m},
                                   {"legs",
                                    {{{knee_x - 0.524, -1.10},
                                      {knee_x - 0.392, -1.10},
                                      {knee_x + 0.08, knee + 0.05},
                                      {knee_x, knee + 0.13}}},
                                    legs_width_m}}};
  std::vector<Block> blocks;
  for (const Part& part : parts) {
    Block block;
    block.name = "person_" + seat + "_" + part.name;
    for (const Vector2& corner : part.corner)
      block.corner.push_back({{head.x() + corner.x(), head.z() + corner.y()}, ""});
    block.range = {head.y() - 0.5 * part.width_m, head.y() + 0.5 * part.width_m};
    block.material = material;
    blocks.push_back(std::move(block));
  }
  return blocks;
}

}  // namespace cabinfield
