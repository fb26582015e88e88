// The shortest way through the air from a point to others, round edges where the straight line is blocked.
//
// A taut string bends only over edges that stick out into the air. Those of blocks and of the shell are
// sampled; the shortest way over the samples that see each other (Dijkstra, Numer. Math. 1 (1959) 269) names
// the edges, and the string is then pulled tight over them: on each edge the bend is where the angles to the
// edge are equal.
#pragma once

#include <memory>
#include <mutex>
#include <utility>
#include <vector>

#include "geometry/cabin.h"

namespace cabinfield {

/// A way from a source to a target. Empty bends: the straight line is free.
struct Way {
  double length_m = 0;
  std::vector<Vector3> bends;  ///< where it bends, from the source on
  bool exists = false;  ///< false where no air joins the two (or only round the rim of a cut other than a
                        ///< partition's opening, which is not looked at)
};

class DiffractionPath {
 public:
  /// The cabin must outlive it. Edges are sampled every `spacing_m`; the ways found do not depend on it
  /// unless they are nearly equal.
  explicit DiffractionPath(const Cabin& cabin, double spacing_m = 0.10);

  /// The shortest way from the source to each target.
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
  /// Which nodes see which, [node]: others and how far. Found when first asked for.
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
