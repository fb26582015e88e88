// Impulse responses of a cabin as an AES69 (SOFA) file, which any tool of spatial audio can read.
//
// AES69-2022, convention SingleRoomMIMOSRIR 1.0 with data type FIR-E: one room, E emitters (drivers or
// channels) that sound one at a time, M measurements (seats), R = 2 receivers (left ear, right ear), N
// samples. Data.IR is [M,R,N,E]. The room's frame is the vehicle's (x rearward, y to its right, z up; ISO
// 4130): the source stands at its origin, so that emitters have vehicle coordinates. A listener looks forward
// (-x); receivers are given as the listener's own x forward, y left, z up. The standard was read from memory;
// the layout is held against two independent readers, libmysofa and netCDF, in the tests.
//
// The file is netCDF-4, with what libmysofa 1.3 can read of it: arrays in one piece (it finds no numbers in a
// compressed array of four dimensions), 64-bit real numbers, characters called ASCII (UTF-8 goes through).
// Its mysofa_load takes the file; its mysofa_check, and with it mysofa_open, takes free-field head-related
// responses (SimpleFreeFieldHRIR) alone, which a cabin's are not.
#pragma once

#include <array>
#include <ctime>
#include <string>
#include <vector>

#include "base/table.h"
#include "base/vector.h"

namespace cabinfield {

/// A loudspeaker as the file knows it; of a channel with several drivers the middle of them.
struct SofaEmitter {
  std::string name;
  Vector3 position_m = Vector3::Zero();  ///< in the vehicle's frame
  Vector3 view = Vector3::UnitX();       ///< unit vector along which it looks
};

struct SofaListener {
  std::string name;
  std::array<Vector3, 2> ear_position_m = {Vector3::Zero(),
                                           Vector3::Zero()};  ///< left, right; in the vehicle's frame
};

struct SofaFile {
  std::string title;
  std::string comment;  ///< what one unit of a sample means, and what else a reader should know
  std::string history;  ///< how the responses came about
  std::string program_version;
  std::time_t created = 0;  ///< UTC
  double sample_rate_hz = 0;
  std::vector<SofaListener> listener;  ///< M
  std::vector<SofaEmitter> emitter;    ///< E
  Table<double, 4> impulse;            ///< [M,2,E,N]; sample 0 is the time of emission
};

/// Writes the file whole or not at all. Throws std::invalid_argument where a shape does not fit, there is
/// nothing to write, or a number is not finite; MachineError where it cannot be written.
void write_sofa_file(const std::string& path, const SofaFile& sofa);

}  // namespace cabinfield
