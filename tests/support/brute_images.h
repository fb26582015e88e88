// Reflection paths by their definition without any optimisation: an independent check of the mirror search.
//
// Every sequence of faces up to some order is taken, the source mirrored in each in turn, and the straight
// line from the ear to the last image folded back. The path is there where each fold point lies inside its
// face's outline (winding number), between two points before the face, with air just before it, none just
// behind and no earlier face in its place, and where every piece between passes air alone. Air is worked out
// from the shape as drawn: half widths, outline, blocks, cuts. Of the cabin nothing but its list of faces and
// its shape is used.
//
// Ties. What a shift of tie_m could turn round is told apart: a fold point that near an outline, an image or
// point that near a plane, a piece that dips that little into a solid, air that ends that near. Such a path
// may be found or not.
#pragma once

#include <cstdint>
#include <map>
#include <utility>
#include <vector>

#include "geometry/cabin.h"

namespace cabinfield::test {

struct BrutePath {
  double length_m = 0;
  bool tie = false;
};

struct BruteImages {
  static constexpr double tie_m = 1e-6;
  /// By ear and faces in the order met; empty faces: the direct sound.
  std::map<std::pair<std::size_t, std::vector<int>>, BrutePath> paths;
  std::uint64_t sequences = 0;  ///< looked at, each for every ear
};

BruteImages brute_images(const Cabin& cabin, const Vector3& source, const std::vector<Vector3>& ears,
                         int order);

}  // namespace cabinfield::test
