// A leading variant looked at more closely: its response, what each channel adds, the limits that it breaks.
#pragma once

#include <cstdint>
#include <span>

#include "scene/scene.h"
#include "study/study.h"
#include "study/study_outcome.h"
#include "study/variant_sound.h"

namespace cabinfield {

/// What responses and contributions are told of: from 20 Hz to 20 kHz as far as the frequencies reach.
FrequencyRange told_range(const Scene& scene);

/// `values` [M] of its measures. What draws say is left empty.
LeadingVariant closer_look(const Study& study, std::uint64_t variant, const Scene& scene,
                           const VariantSound& sound, std::span<const double> values);

}  // namespace cabinfield
