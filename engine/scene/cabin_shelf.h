// A cache of built cabins, for scenes built one after another that often share one: building a cabin takes a
// hundred times as long as the rest of a scene.
#pragma once

#include <list>
#include <memory>
#include <mutex>
#include <utility>
#include <vector>

#include "geometry/cabin.h"
#include "geometry/diffraction_path.h"

namespace cabinfield {

/// Keeps the most recently used cabins. Equal shapes share one object, so that solvers can compare addresses.
/// Safe to use from several threads.
class CabinShelf {
 public:
  struct Standing {
    CabinShape shape;  ///< as given; the cabin's own shape also has stand-ins for its partitions
    std::shared_ptr<const Cabin> cabin;
    std::shared_ptr<const DiffractionPath> ways;  ///< diffraction paths round its edges; null until requested
  };

  explicit CabinShelf(std::size_t most = 8) : most_(most) {}

  /// The cabin of that shape, built if absent. A cabin with errors is not kept.
  std::shared_ptr<const Cabin> cabin(const CabinShape& shape, std::vector<ShapeProblem>& problems);
  /// Diffraction paths round the edges of a cabin, whether from this cache or not.
  std::shared_ptr<const DiffractionPath> ways(const std::shared_ptr<const Cabin>& cabin);

 private:
  std::size_t most_;
  std::mutex guard_;
  std::list<Standing> standing_;  // most recently used first
};

}  // namespace cabinfield
