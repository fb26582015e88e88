// The text of a scene with its positions moved as a stretched cabin moves them: comments, order and
// everything else stay as they were typed.
#pragma once

#include <string>

#include "geometry/cabin_warp.h"
#include "input/document.h"

namespace cabinfield {

struct MoveOptions {
  double length_unit_m = 1;  ///< of the text's bare positions
  bool wheel_right = false;  ///< the driver's seat to the other side
};

/// `root` is the tree of `text`. Moved: side view, half widths, patches, blocks, partitions, heads, marks,
/// ends of tapes, drivers, what they aim at, boxes (whose size stays), also in states; rooms of the load
/// space with their size, what is kept free and stands in them with its own, amplifiers, processor,
/// batteries, axles. Numbers are written to the millimetre, those that stay within it as they were.
std::string moved_text(const std::string& text, const Node& root, const CabinWarp& warp,
                       const MoveOptions& options);

}  // namespace cabinfield
