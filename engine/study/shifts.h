// An entry of a scene document moved as a whole: a block, a seat, a driver, a box.
#pragma once

#include <array>
#include <string>

#include "input/document.h"
#include "input/key_tree.h"

namespace cabinfield {

/// The node with every number moved that moves with its entry (geometry_role.h); `by` in the document's unit.
Node shifted_geometry(const Node& node, const KeyTreePointer& tree, const std::array<double, 3>& by);

struct Shifted {
  Node entry;
  std::string error;  ///< what is wrong, to follow the path; empty where nothing is
};

/// `entry` stands at `path` (its section tells what it is) and has all it inherits in `whole`. `by`: a list
/// of three bare numbers in the document's own unit. What an entry takes its place from has to be shifted in
/// its stead. An entry shifted by nothing is the same as before.
Shifted shifted_entry(const Node& entry, const Node& whole, const std::string& path, const Node& by);

}  // namespace cabinfield
