#include "scene/mirrored.h"

#include <array>

#include "base/constants.h"

namespace cabinfield {
namespace {

Vector3 across(const Vector3& point) { return {point.x(), -point.y(), point.z()}; }

void flip(std::optional<Vector3>& point) {
  if (point) point = across(*point);
}

void flip(std::optional<std::array<double, 2>>& range) {
  if (range) range = std::array{-(*range)[1], -(*range)[0]};
}

}  // namespace

std::string mirrored_name(const std::string& name) {
  std::string result;
  std::size_t start = 0;
  while (start <= name.size()) {
    const std::size_t end = std::min(name.find_first_of("_-.", start), name.size());
    const std::string word = name.substr(start, end - start);
    result += word == "left" ? "right" : word == "right" ? "left" : word;
    if (end < name.size()) result += name[end];
    start = end + 1;
  }
  return result;
}

SeatSpec mirrored(SeatSpec spec) {
  flip(spec.head);
  flip(spec.reference);
  return spec;
}

PatchSpec mirrored(PatchSpec spec) {
  flip(spec.y);
  spec.surface = mirrored_name(spec.surface);
  spec.name = mirrored_name(spec.name);
  return spec;
}

BlockSpec mirrored(BlockSpec spec) {
  flip(spec.y);
  for (auto* corners : {&spec.profile, &spec.plan})
    for (BlockCornerChoice& corner : *corners) {
      if (BlockCornerSpec* full = std::get_if<BlockCornerSpec>(&corner)) {
        full->face = mirrored_name(full->face);
        if (full->y) full->y = -*full->y;
      } else if (corners == &spec.plan) {
        std::get<Vector2>(corner).y() *= -1;
      }
    }
  return spec;
}

PartitionSpec mirrored(PartitionSpec spec) {
  flip(spec.y);
  for (PartitionOpeningSpec& opening : spec.openings) {
    flip(opening.centre);
    opening.name = mirrored_name(opening.name);
  }
  return spec;
}

LeakSpec mirrored(LeakSpec spec) {
  spec.surface = mirrored_name(spec.surface);
  spec.name = mirrored_name(spec.name);
  return spec;
}

std::optional<Vector3> head_position(const SeatSpec& spec) {
  if (spec.head) return spec.head;
  if (spec.reference) return Vector3(*spec.reference + Vector3(0, 0, head_over_reference_m));
  return std::nullopt;
}

DriverSpec mirrored(DriverSpec spec, const std::vector<Named<SeatSpec>>& seats) {
  flip(spec.position);
  spec.surface = mirrored_name(spec.surface);
  if (spec.loading)
    if (auto* loading = std::get_if<LoadingMappingSpec>(&*spec.loading)) flip(loading->rear_into);
  if (!spec.aim) return spec;
  flip(spec.aim->point);
  flip(spec.aim->direction);
  if (spec.aim->seat.empty()) return spec;
  std::vector<Vector3> there;  // the mirrored head of the seat aimed at, where it is known
  for (const auto& seat : seats)
    if (seat.name == spec.aim->seat)
      if (const auto head = head_position(seat.value)) there.push_back(across(*head));
  spec.aim->seat.clear();
  constexpr double same_seat_m = 0.03;  // two seats taped apart agree no better
  for (const auto& seat : seats) {
    const auto head = head_position(seat.value);
    if (head && !there.empty() && (*head - there.front()).norm() < same_seat_m) spec.aim->seat = seat.name;
  }
  return spec;
}

}  // namespace cabinfield
