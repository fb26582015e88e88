// Impulse responses of a scene: its transfer functions on an even grid of frequencies, transformed to time.
#pragma once

#include <string>
#include <vector>

#include "base/parallel.h"
#include "predict/results.h"
#include "scene/scene.h"

namespace cabinfield {

/// Fills results.impulse_time_s and results.impulse_pa_m3 (each driver, seat and ear, per unit volume
/// velocity) at the sample rate, and returns those of each channel in preset as_drawn, [C,S,E,N] Pa. Solves
/// the field again on the grid that the rate requires.
Table<double, 4> add_impulse_responses(const Scene& scene, double sample_rate_hz, Results& results,
                                       const Progress& progress = {});

}  // namespace cabinfield
