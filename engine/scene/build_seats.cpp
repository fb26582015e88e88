#include <fmt/format.h>

#include "base/constants.h"
#include "scene/build_steps.h"

namespace cabinfield::build {
namespace {

/// Nearer than this to trim no head is held for long (common practice, no source; ISO 5128:1980 keeps its
/// microphones 0.15 m from walls).
constexpr double close_ear_m = 0.05;

}  // namespace

std::string not_in_air(const Cabin& cabin, const Vector3& point) {
  const PointReport found = cabin.report(point);
  const std::string where = found.outside ? "outside the cabin"
                            : found.block >= 0
                                ? fmt::format("inside block '{}'", cabin.shape().blocks[found.block].name)
                                : "not in the air of the cabin";
  return fmt::format("is {}, {:.0f} mm from the nearest surface, '{}'", where, found.distance_m * 1000,
                     found.nearest);
}

std::vector<Seat> seats(const SceneSpec& spec, const Cabin* cabin, Faults& faults) {
  std::vector<Seat> result;
  for (const auto& entry : spec.seats) {
    const SeatSpec& given = entry.value;
    Seat seat;
    seat.name = entry.name;
    seat.sphere = given.head_shape == HeadShape::sphere;
    if (given.head.has_value() == given.reference.has_value()) {
      const bool neither = !given.has("head") && !given.has("reference") && !given.has("mirror_of");
      const bool both = given.has("head") && given.has("reference");
      if ((neither && !entry.broken) || both)
        faults.add(given.location, fmt::format("seat '{}': give either head or reference", entry.name));
      continue;
    }
    seat.head = given.head ? *given.head : Vector3(*given.reference + Vector3(0, 0, head_over_reference_m));
    for (int side : {0, 1})
      seat.ear[side] = seat.head + Vector3(0, (side == 0 ? -0.5 : 0.5) * spec.ear_spacing_m, 0);
    if (cabin != nullptr) {
      const SourceLocation& location = given.at(given.has("head") ? "head" : "reference");
      if (!cabin->in_air(seat.head)) {
        faults.add({location,
                    fmt::format("seat '{}': its head {}", seat.name, not_in_air(*cabin, seat.head)),
                    FaultCode::ear_outside_air,
                    {SubjectKind::seat, seat.name}});
      } else if (spec.sound("ear_spacing")) {
        for (int side : {0, 1})
          if (!cabin->in_air(seat.ear[side]))
            faults.add({location,
                        fmt::format("seat '{}': its {} ear {}", seat.name, side == 0 ? "left" : "right",
                                    not_in_air(*cabin, seat.ear[side])),
                        FaultCode::ear_outside_air,
                        {SubjectKind::seat, seat.name}});
          else if (const PointReport ear = cabin->report(seat.ear[side]);
                   ear.distance_m < close_ear_m - same_point_m)
            faults.warn(location, fmt::format("seat '{}': its {} ear is only {:.0f} mm from surface '{}'; "
                                              "hair and trim need more: check the tape",
                                              seat.name, side == 0 ? "left" : "right", ear.distance_m * 1000,
                                              ear.nearest));
      }
    }
    result.push_back(std::move(seat));
  }
  return result;
}

}  // namespace cabinfield::build
