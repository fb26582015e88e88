// Results of an invented five-door hatchback with every part filled in: for tests of what writes and reads
// results.
//
// The numbers are plausible, not predicted: free-field sound of band-limited sources with two reflections.
#pragma once

#include "predict/results.h"

namespace cabinfield::synthetic {

/// Four seats, seven drivers and channels, two presets; `frequencies` points from 10 Hz up, 48 an octave.
Results hatchback(std::size_t frequencies = 530);

}  // namespace cabinfield::synthetic
