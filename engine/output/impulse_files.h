// Impulse responses of a scene as files: WAV for each channel and seat, and one SOFA file.
#pragma once

#include <string>
#include <vector>

#include "base/table.h"
#include "predict/results.h"
#include "scene/scene.h"

namespace cabinfield {

/// Paths that `write_impulse_files` writes: STEM.CHANNEL.SEAT.wav, channel by channel, then STEM.sofa.
std::vector<std::string> impulse_file_paths(const Scene& scene, const std::string& stem);

/// Writes STEM.CHANNEL.SEAT.wav (two tracks: left and right ear; 1 is 1 Pa) for each channel and seat, and
/// STEM.sofa with all of them. Returns the paths written.
std::vector<std::string> write_impulse_files(const Scene& scene, const Results& results,
                                             const Table<double, 4>& channel_impulse,
                                             const std::string& stem);

}  // namespace cabinfield
