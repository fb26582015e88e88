// A scene document with inherited keys written out, for edits that change part of it.
#pragma once

#include "input/document.h"

namespace cabinfield {

/// The same document with every key inherited by `like` or `mirror_of` written into the entry, and positions
/// in the document's own unit. For looking values up only: units, notes and source locations are lost. A null
/// node if the document is not a mapping.
Node with_inherited_keys(const Node& scene);

}  // namespace cabinfield
