// Sound files: WAV with 32-bit floating-point samples, without clipping or quantisation.
//
// Encoded in memory by libsndfile. The same sound gives the same bytes.
#pragma once

#include <cstddef>
#include <string>

#include "base/table.h"

namespace cabinfield {

struct Sound {
  double sample_rate_hz = 0;  ///< a whole number
  Table<double, 2> sample;    ///< [channel, sample]; 1 is full scale
  std::string title;          ///< title and comment are omitted where empty
  std::string comment;        ///< for example the unit of the samples
};

/// Writes the file, whole or not at all. Throws std::invalid_argument for no samples, more than 1024 channels
/// (the limit of libsndfile), a sample that is not a finite 32-bit number, a sample rate that is not a whole
/// number of hertz, or more than a WAV file can hold (4 GiB); MachineError where it cannot be written.
void write_wav_file(const std::string& path, const Sound& sound);

}  // namespace cabinfield
