// A scene document with what its entries take from others written out, for edits that change a part of it.
#pragma once

#include "input/document.h"

namespace cabinfield {

/// The same document with every key that an entry takes by `like` or `mirror_of` standing in that entry, and
/// positions in the document's own unit. Only for looking values up: units, notes and places are lost. A null
/// node where the document is no mapping.
Node with_inherited_keys(const Node& scene);

}  // namespace cabinfield
