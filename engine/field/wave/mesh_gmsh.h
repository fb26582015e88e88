// Meshes a drawing with gmsh (Geuzaine & Remacle, Int. J. Numer. Meth. Eng. 79, 2009) and its OpenCASCADE
// kernel. Call it in a separate process: gmsh may crash or hang, and changes the number of threads and the
// locale of its process.
#pragma once

#include "field/wave/mesh_drawing.h"
#include "field/wave/mesh_raw.h"

namespace cabinfield {

struct RawMeshOptions {
  double size_m = 0.12;
  double edge_size_m = 0.05;
  bool imprint_patches = true;
};

/// Throws std::runtime_error where gmsh is missing or reports a failure.
RawMesh mesh_with_gmsh(const MeshDrawing& drawing, const RawMeshOptions& options);

}  // namespace cabinfield
