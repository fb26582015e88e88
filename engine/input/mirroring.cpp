#include "input/mirroring.h"

#include <utility>

#include "scene/mirrored.h"

namespace cabinfield {

void Mirror::numbers(GeometryRole role, double* first, std::size_t count) {
  if (!is_mirrored(role)) return;
  for (std::size_t i = 0; i < count; ++i)
    if (axis_of(role, i) == 1) first[i] = -first[i];
  // A range [from, to] begins at the other end.
  if (role == GeometryRole::y && count == 2) std::swap(first[0], first[1]);
}

void Mirror::name(std::string& name) { name = mirrored_name(name); }

}  // namespace cabinfield
