#include "scene/mirrored.h"

#include <algorithm>

#include "base/constants.h"

namespace cabinfield {
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

std::optional<Vector3> head_position(const SeatSpec& spec) {
  if (spec.head) return spec.head;
  if (spec.reference) return Vector3(*spec.reference + Vector3(0, 0, head_over_reference_m));
  return std::nullopt;
}

std::string mirrored_seat(const std::string& seat, const std::vector<Named<SeatSpec>>& seats) {
  constexpr double same_seat_m = 0.03;  // two seats taped apart agree no better
  std::optional<Vector3> there;         // the mirrored head of the seat
  for (const auto& entry : seats)
    if (const auto head = head_position(entry.value); head && entry.name == seat && !there)
      there = Vector3(head->x(), -head->y(), head->z());
  std::string result;
  for (const auto& entry : seats) {
    const auto head = head_position(entry.value);
    if (head && there && (*head - *there).norm() < same_seat_m) result = entry.name;
  }
  return result;
}

}  // namespace cabinfield
