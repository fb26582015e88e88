// A box cut into a regular grid of cells, each into six tetrahedra about its diagonal (Kuhn's split): a mesh
// without a mesher.
#pragma once

#include <array>
#include <functional>

#include "field/wave/mesh.h"
#include "geometry/cabin.h"

namespace cabinfield::test {

struct BoxMeshOptions {
  std::array<int, 3> cells{8, 6, 5};
  /// Region of the tetrahedron with this centre; air where empty.
  std::function<int(const Vector3&)> region;
  /// Partition that the triangle with this centre and (unsigned) normal belongs to, -1 where none; none where
  /// empty.
  std::function<int(const Vector3&, const Vector3&)> sheet;
};

/// The cabin must be a plain box (CabinShape::box).
Mesh box_mesh(const Cabin& cabin, const BoxMeshOptions& options);

}  // namespace cabinfield::test
