// The few functions of gmsh that the mesher needs. The shared library is loaded when a session is opened and
// not linked: loading it takes longer than all that the program does when asked for its version.
#pragma once

#include <array>
#include <functional>
#include <memory>
#include <utility>
#include <vector>

#include "base/vector.h"

namespace cabinfield {

/// Dimension (0 point, 1 curve, 2 surface, 3 volume) and number of an entity, as gmsh counts them.
using Entity = std::pair<int, int>;

/// One to a process, and only in one that may be lost. Every call throws std::runtime_error where gmsh says
/// that it failed; that it says nothing proves nothing.
class GmshSession {
 public:
  GmshSession();
  ~GmshSession();

  // Drawing with the OpenCASCADE kernel.
  /// A flat surface within a rim of straight lines.
  Entity flat(const std::vector<Vector3>& rim) const;
  /// The volume that the surface sweeps.
  Entity extrude(const Entity& surface, const Vector3& along) const;
  std::vector<Entity> cut(const std::vector<Entity>& objects, const std::vector<Entity>& tools) const;
  std::vector<Entity> intersect(const std::vector<Entity>& objects, const std::vector<Entity>& tools) const;
  /// All split at each other, so that they fit; of each what it became.
  std::vector<std::vector<Entity>> fragment(const std::vector<Entity>& all) const;
  void remove(const std::vector<Entity>& entities) const;
  double volume_m3(const Entity& volume) const;
  /// Hands what is drawn to the model. What follows asks the model.
  void synchronize() const;

  std::vector<Entity> entities(int dimension) const;
  std::vector<Entity> boundary(const Entity& entity) const;
  /// Numbers of the entities of one dimension more that it bounds.
  std::vector<int> bounded_by(const Entity& entity) const;
  Vector3 position(const Entity& point) const;

  /// Straight tetrahedra in all volumes, as long as `size` says.
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
