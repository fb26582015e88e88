// A drawing put together and cut into tetrahedra by gmsh (Geuzaine & Remacle, Int. J. Numer. Meth. Eng. 79,
// 2009) with its OpenCASCADE kernel. To be called in a process of its own: gmsh may crash or hang, and
// changes the number of threads and the locale for good.
#pragma once

#include "field/wave/mesh_drawing.h"
#include "field/wave/mesh_raw.h"

namespace cabinfield {

struct RawMeshOptions {
  double size_m = 0.12;
  double edge_size_m = 0.05;
  bool imprint_patches = true;
};

/// Throws std::runtime_error where gmsh is missing or says that it failed.
RawMesh mesh_with_gmsh(const MeshDrawing& drawing, const RawMeshOptions& options);

}  // namespace cabinfield
