// What two ears make of the mono signal, and of each channel alone: from which side it appears to come.
#pragma once

#include "results/results.h"
#include "scene/scene.h"

namespace cabinfield {

/// Fills the interaural tables of results from its responses.
void judge_two_ears(const Scene& scene, Results& results);

}  // namespace cabinfield
