// Sound files: WAV with 32-bit floating-point samples, so that nothing is clipped or rounded to steps.
//
// Written with libsndfile, in memory first. The same sound gives the same bytes.
#pragma once

#include <cstddef>
#include <string>

#include "base/table.h"

namespace cabinfield {

struct Sound {
  double sample_rate_hz = 0;  ///< a whole number
  Table<double, 2> sample;    ///< [channel, sample]; 1 is full scale
  std::string title;          ///< both notes are left out where empty
  std::string comment;        ///< e.g. what 1 stands for
};

/// Writes the file whole or not at all. Throws std::invalid_argument where there is no sample, more than 1024
/// channels (as many as libsndfile takes), a sample that is no finite 32-bit number, a sample rate that is no
/// whole number of hertz, or more than a WAV file can hold (4 GiB); MachineError where it cannot be written.
void write_wav_file(const std::string& path, const Sound& sound);

}  // namespace cabinfield
