// Every path from a source to ears in a cabin: direct or round edges, and the mirror images that exist.
#pragma once

#include <functional>
#include <vector>

#include "field/field.h"
#include "field/images/mirror_search.h"
#include "field/images/path_sum.h"
#include "geometry/cabin.h"
#include "geometry/diffraction_path.h"

namespace cabinfield {

/// One path with what it met on its way.
struct CabinPath {
  Path path;
  std::vector<int> faces;  ///< in the order met; empty for the direct sound
  bool round_edges = false;
};

/// Calls found(ear, path) for each, in a fixed order: direct sound and reflections as the search finds them,
/// then ways round edges to ears that the straight line does not reach (none where `ways` is null). What the
/// search came to: its order is less than asked where images were too many.
MirrorSearchCount for_each_cabin_path(const Cabin& cabin, const MirrorSearch& search,
                                      const DiffractionPath* ways, const Source& source,
                                      const std::vector<Vector3>& ears,
                                      const std::function<void(std::size_t, const CabinPath&)>& found);

}  // namespace cabinfield
