// The functions of gmsh that the mesher needs. The shared library is loaded when a session opens rather than
// linked: loading takes longer than `cabinfield --version` takes in all.
#pragma once

#include <array>
#include <functional>
#include <memory>
#include <utility>
#include <vector>

#include "base/vector.h"

namespace cabinfield {

/// Dimension (0 point, 1 curve, 2 surface, 3 volume) and tag of an entity of gmsh.
using Entity = std::pair<int, int>;

/// One a process, and only in a process that may crash. Every call throws std::runtime_error where gmsh
/// reports a failure; the absence of a report proves nothing.
class GmshSession {
 public:
  GmshSession();
  ~GmshSession();

  // Drawing with the OpenCASCADE kernel.
  /// A plane surface bounded by straight lines.
  Entity flat(const std::vector<Vector3>& rim) const;
  /// The volume swept by a surface.
  Entity extrude(const Entity& surface, const Vector3& along) const;
  std::vector<Entity> cut(const std::vector<Entity>& objects, const std::vector<Entity>& tools) const;
  std::vector<Entity> intersect(const std::vector<Entity>& objects, const std::vector<Entity>& tools) const;
  /// Splits all at each other, so that they conform; the parts of each.
  std::vector<std::vector<Entity>> fragment(const std::vector<Entity>& all) const;
  void remove(const std::vector<Entity>& entities) const;
  double volume_m3(const Entity& volume) const;
  /// Transfers the drawing to the model, which the calls below refer to.
  void synchronize() const;

  std::vector<Entity> entities(int dimension) const;
  std::vector<Entity> boundary(const Entity& entity) const;
  /// Tags of the entities of the next higher dimension that it bounds.
  std::vector<int> bounded_by(const Entity& entity) const;
  Vector3 position(const Entity& point) const;

  /// Meshes all volumes with straight tetrahedra of edge length `size`.
  void mesh(const std::function<double(const Vector3&)>& size) const;
  struct Nodes {
    std::vector<std::size_t> number;
    std::vector<Vector3> position;
  };
  Nodes nodes() const;
  /// Node numbers of the triangles of a surface, three each, or of the tetrahedra of a volume, four each.
  std::vector<std::size_t> elements(const Entity& entity) const;

 private:
  struct Library;
  std::unique_ptr<const Library> library_;
};

}  // namespace cabinfield
