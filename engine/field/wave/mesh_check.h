// Accepts a mesh only where it matches the drawing.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "field/wave/mesh.h"
#include "field/wave/mesh_drawing.h"
#include "field/wave/mesh_raw.h"

namespace cabinfield {

/// Three times the radius of the inscribed over that of the circumscribed sphere: 1 regular, 0 flat.
double tetrahedron_quality(const Vector3& a, const Vector3& b, const Vector3& c, const Vector3& d);

/// Maps faces of the drawing's hollow cabin, which may lack some blocks and may have been moved, to faces of
/// `cabin`: the nearest one of the same surface.
class FaceNames {
 public:
  FaceNames(const Cabin& cabin, const Cabin& hollow);
  /// Index into cabin.faces(), -1 where there is none.
  int at(int hollow_face, const Vector3& point) const;

 private:
  const Cabin& cabin_;
  std::vector<std::vector<int>> candidates_;  // of each face of the hollow cabin
};

/// The mesh with the faces of `cabin` on its boundary, or empty and a reason. Conditions: every body is
/// filled with tetrahedra of quality 1e-4 or more, to within 1e-6 of the volume of the geometry kernel; every
/// tetrahedron lies in the region of the drawing, every boundary triangle on an exposed face, every sheet
/// triangle between two tetrahedra; and the whole volume is that of the drawing within the sampling error.
std::optional<Mesh> checked_mesh(const RawMesh& raw, const MeshDrawing& drawing, const Cabin& cabin,
                                 std::string& reason);

}  // namespace cabinfield
