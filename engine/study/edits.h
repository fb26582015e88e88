// Changes of a scene document by the paths of its settings: what turns one scene into its variants.
//
// A path names keys and names from the top of the scene, joined by dots: `channels.sub.lowpass.frequency`,
// `drivers.mid_left.position`. Things in lists go by their position from 1 or by their own name:
// `channels.sub.equaliser.2.gain`, `cabin.blocks.dash.y`.
//
// An entry that takes a key from another (`like`, `mirror_of`, or a group of channels) and gets a part of it
// changed keeps the rest of what it took; the other one stays as it is. What mirrors a changed entry follows.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "base/fault.h"
#include "input/document.h"

namespace cabinfield {

struct Edit {
  enum class Action {
    set,     ///< to the value, whether it was given before or not
    remove,  ///< so that its default or what it inherits holds
    add,     ///< a new entry of a section (`channels.NAME`), or entries to a list (`cabin.blocks`)
    shift  ///< a block, seat, driver or box (`cabin.blocks.dash`) by the value [x, y, z], in the scene's unit
  };
  Action action = Action::set;
  std::string path;
  Node value;                    ///< null for `remove`
  SourceLocation location = {};  ///< of the path: for faults
};

/// The scene with the edits made in their order; the given one stays as it is. Faults: a path that leads
/// nowhere (with the nearest that would), nothing there to remove or shift, a name already taken. Values are
/// not looked at: reading the scene does that, and its faults name the places that the values came with.
/// Edits at fault are left out.
Node edited(const Node& scene, std::span<const Edit> edits, Faults& faults);

/// What the scene has at a path, or takes over there from another entry; a null node where nothing is given.
Node setting_at(const Node& scene, const std::string& path);

/// Where an edit could reach: whether a solved cabin, its ears included, may be another after it.
bool changes_the_cabin(const Edit& edit);

/// A bare number as documents hold it, rounded to the ninth decimal place.
Node number_node(double value, const SourceLocation& location);

}  // namespace cabinfield
