// Cabins that stand already, for scenes that are built one after another and often share theirs: to stand one
// up takes a hundred times as long as all the rest of a scene.
#pragma once

#include <list>
#include <memory>
#include <mutex>
#include <utility>
#include <vector>

#include "geometry/cabin.h"
#include "geometry/diffraction_path.h"

namespace cabinfield {

/// Keeps the cabins asked for last. Equal shapes get one and the same object, so that who solves cabins can
/// tell them by their address. May be used by several threads.
class CabinShelf {
 public:
  struct Standing {
    CabinShape shape;  ///< as given: the cabin's own has stand-ins for its partitions
    std::shared_ptr<const Cabin> cabin;
    std::shared_ptr<const DiffractionPath> ways;  ///< round its edges; null until asked for
  };

  explicit CabinShelf(std::size_t most = 8) : most_(most) {}

  /// Of that shape; builds it where it is not there. One with problems is built anew each time.
  std::shared_ptr<const Cabin> cabin(const CabinShape& shape, std::vector<ShapeProblem>& problems);
  /// Round the edges of a cabin that came from here, or from elsewhere.
  std::shared_ptr<const DiffractionPath> ways(const std::shared_ptr<const Cabin>& cabin);

 private:
  std::size_t most_;
  std::mutex guard_;
  std::list<Standing> standing_;  // the one asked for last comes first
};

}  // namespace cabinfield
