// From the cabin as drawn to a mesh, with gmsh and its OpenCASCADE kernel in a process of its own.
//
// gmsh may crash, hang, print or mesh the wrong volume where faces lie a fraction of a millimetre apart. It
// runs in a forked child with a time limit, and a mesh is accepted only where it fills the volume of the
// drawing. Otherwise block coordinates are rounded to grids of 1, 5 and 10 mm and meshed again.
#pragma once

#include <stdexcept>
#include <string>
#include <utility>

#include "field/wave/mesh.h"
#include "geometry/cabin.h"

namespace cabinfield {

struct MeshOptions {
  double size_m = 0.12;  ///< mean length of edges in the open air; the longest are about twice that
  /// At edges that protrude into the air, where the field is singular; growing with the distance from them.
  double edge_size_m = 0.05;
  double time_limit_s = 60;  ///< of each attempt
};

/// The cabin cannot be meshed; the message gives the reason and names the block that prevents it, if a single
/// one does.
class MeshFailure : public std::runtime_error {
 public:
  MeshFailure(const std::string& words, std::string block)
      : std::runtime_error(words), block_(std::move(block)) {}
  const std::string& block() const { return block_; }  ///< "" where it is not a single block

 private:
  std::string block_;
};

/// Meshes all the air, connected or not. Outlines of patches are edges of the mesh where possible. Throws
/// MeshFailure. The same mesh to the last bit on every call.
Mesh mesh_cabin(const Cabin& cabin, const MeshOptions& options);

}  // namespace cabinfield
