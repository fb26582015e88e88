// An ear at the side of a spherical head, as a receiver pattern of the field.
#pragma once

#include <array>
#include <memory>
#include <vector>

#include "field/field.h"
#include "listening/sphere_head.h"

namespace cabinfield {

/// Left and right ear (at -y and +y of a listener who faces forward) of a rigid sphere; both refer to its
/// centre. The pattern is that of far sources: for sources within half a metre the level difference is some
/// decibels too small (Duda & Martens 1998).
std::array<std::shared_ptr<const ReceiverPattern>, 2> sphere_ears(const std::vector<double>& wavenumber_per_m,
                                                                  double radius_m);

}  // namespace cabinfield
