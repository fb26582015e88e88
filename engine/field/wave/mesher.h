// From the cabin as drawn to a mesh, with gmsh and its OpenCASCADE kernel in a process of its own.
//
// gmsh may crash, hang, print or mesh the wrong volume where faces lie a fraction of a millimetre apart: a
// forked child with a time limit does the work, and a mesh is taken only where it fills the volume that the
// drawing has. Where it does not, block coordinates are tried on a grid of 1, 5 and 10 mm.
#pragma once

#include <stdexcept>
#include <string>
#include <utility>

#include "field/wave/mesh.h"
#include "geometry/cabin.h"

namespace cabinfield {

struct MeshOptions {
  double size_m = 0.12;  ///< mean length of edges in the open air; the longest is about twice that
  /// At edges that stick out into the air, where the field is singular; growing away from them.
  double edge_size_m = 0.05;
  double time_limit_s = 60;  ///< for each try
};

/// The cabin cannot be meshed: says why in plain words and names the block that stands in the way, where it
/// is one.
class MeshFailure : public std::runtime_error {
 public:
  MeshFailure(const std::string& words, std::string block)
      : std::runtime_error(words), block_(std::move(block)) {}
  const std::string& block() const { return block_; }  ///< "" where no single one is to blame

 private:
  std::string block_;
};

/// The air, where it falls apart in several pieces all of them. Rims of patches are edges of the mesh where
/// that can be had. Throws MeshFailure. The same mesh to the last bit on every call.
Mesh mesh_cabin(const Cabin& cabin, const MeshOptions& options);

}  // namespace cabinfield
