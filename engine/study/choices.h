// What a study's file says of one choice, as edits of the scene.
#pragma once

#include <string>
#include <vector>

#include "study/edits.h"
#include "study/study_specs.h"

namespace cabinfield {

/// In this order: blocks out, blocks in, settings, removals, entries added, channels muted (in `preset` too,
/// which may say otherwise for itself). Faults: unknown channels and groups.
std::vector<Edit> edits_of(const ChangesSpec& changes, const Node& scene, const std::string& preset,
                           Faults& faults);

/// A driver put to a place with all that comes with it. Warns where the driver goes to another surface and
/// keeps what belonged to the one before.
std::vector<Edit> edits_of(const PlaceSpec& location, const std::string& driver, const Node& scene,
                           const std::string& preset, Faults& faults);

/// What makes `other` the mirror image of `driver`, whatever it was drawn as; none where it is.
std::vector<Edit> edits_to_mirror(const std::string& other, const Located<std::string>& driver,
                                  const Node& scene);

/// Whether a value is the word as_drawn.
bool is_as_drawn(const Node& node);

/// A value in a few words for tables.
std::string value_label(const Node& value);

}  // namespace cabinfield
