// Highest levels before a limit: of each channel alone and of the system, for a sine and for music.
//
// Full scale of the signal, at 0 dB of channel gain, drives the channel's amplifier just to its own limit;
// without an amplifier it is the terminal voltage. A channel alone is turned up to its first limit, the
// system by one volume for all channels. Music is pink from 20 Hz to 20 kHz, left equal to right. Levels are
// of the mean power of the two ears.
#pragma once

#include <vector>

#include "listening/response.h"
#include "predict/field_solution.h"
#include "predict/results.h"
#include "scene/scene.h"

namespace cabinfield {

/// Fills Results::limits and adds the hearing caution to its checks. `drives` of each channel.
void find_loudest(const Scene& scene, const std::vector<ChannelDrive>& drives, const FieldSolution& fields,
                  Results& results);

}  // namespace cabinfield
