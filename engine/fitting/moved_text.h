// The text of a scene with its positions moved as a stretched cabin moves them: comments, order and
// everything else stay as they were typed.
#pragma once

#include <string>

#include "geometry/cabin_warp.h"
#include "input/document.h"
#include "input/key_tree.h"

namespace cabinfield {

struct MoveOptions {
  double length_unit_m = 1;  ///< of the text's bare positions
  bool wheel_right = false;  ///< the driver's seat to the other side
};

/// `root` is the tree of `text`, `tree` that of its declared keys: a scene's where it is null. Moved is every
/// value with a role that moves (geometry_role.h). A front seat keeps its length, what is mounted on a box
/// keeps its place on it. Numbers are written to the millimetre, those that stay within it as they were.
std::string moved_text(const std::string& text, const Node& root, const CabinWarp& warp,
                       const MoveOptions& options, const KeyTreePointer& tree = nullptr);

}  // namespace cabinfield
