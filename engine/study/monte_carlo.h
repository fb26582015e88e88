// A scene as one draw of its uncertain inputs has it.
//
// Each thing is drawn by its own name: what two variants have in common is drawn alike in both, so that they
// differ by what was chosen and not by luck. Spreads are those of base/spread.h.
#pragma once

#include <cstdint>

#include "scene/cabin_shelf.h"
#include "scene/scene.h"
#include "study/uncertainty.h"

namespace cabinfield {

/// Positions of drivers move along their own face, ears with their head; where that leads out of the air or
/// off the face they move half as far, and so on. Materials get a factor on their admittance, and fillings
/// the same on their flow resistivity; what panels and partitions pass stays. Where the size of the cabin is
/// in doubt, all of it is stretched (its cabin comes from the shelf), else it stays the same object. Without
/// any spread the scene is as it was, to the last bit. Throws std::invalid_argument where the stretched cabin
/// cannot stand.
Scene sampled_scene(const Scene& scene, const Uncertainty& uncertainty, std::uint64_t sample,
                    CabinShelf& cabins);

}  // namespace cabinfield
