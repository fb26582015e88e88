// A spec as its mirror image in the car's middle plane, by the roles of its declared keys.
#pragma once

#include "input/keys.h"

namespace cabinfield {

/// Changes the sign of what lies across the car, and swaps the words left and right in sided names.
class Mirror final : public GeometryVisitor {
 public:
  void numbers(GeometryRole role, double* first, std::size_t count) override;
  void name(std::string& name) override;
};

template <typename Spec>
Spec mirrored(Spec spec, const Keys<Spec>& keys) {
  Mirror mirror;
  keys.visit_geometry(spec, mirror);
  return spec;
}

}  // namespace cabinfield
