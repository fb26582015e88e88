// What a spec takes from others: mirror_of (seats, blocks, patches, drivers), like (channels), models by
// name.
#pragma once

#include "base/fault.h"
#include "input/model_library.h"
#include "scene/specs.h"

namespace cabinfield {

/// Fills every spec from the one that it names; keys of its own win. Faults: unknown names, circles.
void resolve_inheritance(SceneSpec& scene, Faults& faults);

/// Puts every model that the scene names and does not hold into its own materials and models; names
/// that the library does not have either are left to the build of the scene. Faults: model files that cannot
/// be used.
void resolve_models(SceneSpec& scene, const ModelLibrary& library, Faults& faults);

}  // namespace cabinfield
