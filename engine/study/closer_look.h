// Details of a leading variant: its response, the contributions of its channels, the limits that it breaks.
#pragma once

#include <cstdint>
#include <span>

#include "scene/scene.h"
#include "study/study.h"
#include "study/study_outcome.h"
#include "study/variant_sound.h"

namespace cabinfield {

/// The range of responses and contributions: 20 Hz to 20 kHz as far as the frequencies reach.
FrequencyRange reported_range(const Scene& scene);

/// `values` [M] of its measures. The results of Monte Carlo samples are left empty.
LeadingVariant closer_look(const Study& study, std::uint64_t variant, const Scene& scene,
                           const VariantSound& sound, std::span<const double> values);

}  // namespace cabinfield
