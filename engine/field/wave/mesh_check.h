// What came out of the mesher, taken only where it is what was drawn.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "field/wave/mesh.h"
#include "field/wave/mesh_drawing.h"
#include "field/wave/mesh_raw.h"

namespace cabinfield {

/// Radius of the inscribed over that of the circumscribed sphere, times 3: 1 where regular, 0 where flat.
double tetrahedron_quality(const Vector3& a, const Vector3& b, const Vector3& c, const Vector3& d);

/// Faces of `cabin` for those of the drawing's hollow cabin, which may lack some of its blocks and may have
/// been moved: of the same surface, nearest to the point.
class FaceNames {
 public:
  FaceNames(const Cabin& cabin, const Cabin& hollow);
  /// Index into cabin.faces(), -1 where there is none.
  int at(int hollow_face, const Vector3& point) const;

 private:
  const Cabin& cabin_;
  std::vector<std::vector<int>> candidates_;  // of each face of the hollow cabin
};

/// The mesh with its boundary named by `cabin.faces()`, or empty and why. Taken only where every body has
/// tetrahedra, none flatter than 1e-4, that fill the volume that the kernel has within 1e-6; where every
/// tetrahedron lies in the region that the drawing has there, every boundary triangle on a face that is
/// really there, every piece of a sheet between two tetrahedra; and where no volume is missing, as far as
/// its sampling can tell.
std::optional<Mesh> checked_mesh(const RawMesh& raw, const MeshDrawing& drawing, const Cabin& cabin,
                                 std::string& reason);

}  // namespace cabinfield
