// All paths from a source to ears in a cabin: direct sound or diffraction path, and the reflections.
#pragma once

#include <functional>
#include <vector>

#include "field/field.h"
#include "field/images/mirror_search.h"
#include "field/images/path_sum.h"
#include "geometry/cabin.h"
#include "geometry/diffraction_path.h"

namespace cabinfield {

/// A path and the faces that reflect it.
struct CabinPath {
  Path path;
  std::vector<int> faces;  ///< in the order met; empty for the direct sound
  bool diffracted = false;
};

/// Calls found(ear, path) for each, in a fixed order: direct sound and reflections as the search finds them,
/// then diffraction paths to ears without a straight line (none where `diffraction` is null). Returns the
/// statistics of the search; its order is lower than requested where there were too many images.
MirrorSearchCount for_each_cabin_path(const Cabin& cabin, const MirrorSearch& search,
                                      const DiffractionPath* diffraction, const Source& source,
                                      const std::vector<Vector3>& ears,
                                      const std::function<void(std::size_t, const CabinPath&)>& found);

}  // namespace cabinfield
