// Impulse responses of a scene: its transfer functions asked on an even grid of frequencies, and turned into
// time.
#pragma once

#include <string>
#include <vector>

#include "base/parallel.h"
#include "results/results.h"
#include "scene/scene.h"

namespace cabinfield {

/// Fills results.impulse_time_s and results.impulse_pa_m3 (each driver, seat and ear, per unit volume
/// velocity) at the sample rate, and returns those of each channel in preset as_drawn, [C,S,E,N] Pa. Solves
/// the field again on the grid that the rate asks for.
Table<double, 4> add_impulse_responses(const Scene& scene, double sample_rate_hz, Results& results,
                                       const Progress& progress = {});

/// Paths that `write_impulse_files` writes: STEM.CHANNEL.SEAT.wav, channel by channel, then STEM.sofa.
std::vector<std::string> impulse_file_paths(const Scene& scene, const std::string& stem);

/// Writes STEM.CHANNEL.SEAT.wav (two tracks: left and right ear; 1 is 1 Pa) for each channel and seat, and
/// STEM.sofa with all of them. Returns the paths written.
std::vector<std::string> write_impulse_files(const Scene& scene, const Results& results,
                                             const Table<double, 4>& channel_impulse,
                                             const std::string& stem);

}  // namespace cabinfield
