// Interaural figures of the mono signal and of each channel alone: from which side it appears to come.
#pragma once

#include <optional>
#include <vector>

#include "listening/interaural.h"
#include "predict/results.h"
#include "scene/scene.h"

namespace cabinfield {

/// Scale from interaural time to side angle for a seat's head shape and ear distance. Empty for a sphere
/// where the frequencies do not suffice.
std::optional<SideAngleScale> side_scale(const Seat& seat, double sound_speed_m_s,
                                         const std::vector<double>& frequency_hz);

/// Fills the interaural tables of results from its responses.
void judge_two_ears(const Scene& scene, Results& results);

}  // namespace cabinfield
