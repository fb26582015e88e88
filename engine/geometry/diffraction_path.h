// The shortest path through the air from a point to others, round edges where the straight line is blocked.
//
// A taut string bends only over convex edges. Edges of blocks and of the shell are sampled; the shortest path
// over samples that see each other (Dijkstra, Numer. Math. 1 (1959) 269) selects the edges, and the string is
// then pulled tight over them: at each bend, the angles of both segments to the edge are equal.
#pragma once

#include <memory>
#include <mutex>
#include <utility>
#include <vector>

#include "geometry/cabin.h"

namespace cabinfield {

/// A path from a source to a target. Without bends the straight line is free.
struct Way {
  double length_m = 0;
  std::vector<Vector3> bends;  ///< bends, in order from the source
  bool exists = false;  ///< false if no air connects the two (or only round the rim of a cut other than a
                        ///< partition's opening; such rims are not searched)
};

class DiffractionPath {
 public:
  /// The cabin must outlive it. Edges are sampled every `spacing_m`; the result does not depend on the
  /// spacing unless two paths are nearly equal.
  explicit DiffractionPath(const Cabin& cabin, double spacing_m = 0.10);

  /// The shortest path from the source to each target.
  std::vector<Way> find(const Vector3& source, const std::vector<Vector3>& targets) const;

 private:
  struct Edge {
    Vector3 from, along;  // unit
    double length = 0;
  };
  struct Node {
    Vector3 point;
    int edge = 0;
  };
  /// For each node, the nodes that it sees and their distances. Computed on first use.
  using Sight = std::vector<std::vector<std::pair<int, double>>>;
  struct LazySight {
    std::once_flag once;
    Sight sight;
  };
  const Sight& sight() const;
  void collect_edges();
  void collect_rims();
  Way pull_tight(const Vector3& source, const std::vector<int>& nodes, const Vector3& target) const;

  const Cabin& cabin_;
  std::vector<Edge> edges_;
  std::vector<Node> nodes_;
  std::shared_ptr<LazySight> sight_ = std::make_shared<LazySight>();
};

}  // namespace cabinfield
