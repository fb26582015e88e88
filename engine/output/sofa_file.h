// Impulse responses of a cabin as an AES69 (SOFA) file, the open standard of spatial audio.
//
// AES69-2022, convention SingleRoomMIMOSRIR 1.0 with data type FIR-E: one room, E emitters (drivers or
// channels) that play one at a time, M measurements (seats), R = 2 receivers (left ear, right ear), N
// samples. Data.IR is [M,R,N,E]. The room's frame is the vehicle's (x rearward, y to its right, z up; ISO
// 4130): the source is at its origin, so that emitters have vehicle coordinates. A listener looks forward
// (-x); receivers are in the listener's frame, x forward, y left, z up. The standard is cited from memory;
// the tests read the file with two independent libraries, libmysofa and netCDF.
//
// The file is netCDF-4, restricted to what libmysofa 1.3 reads: contiguous arrays (it does not read
// compressed arrays of four dimensions), 64-bit real numbers, characters marked as ASCII (UTF-8 passes). Its
// mysofa_load accepts the file; mysofa_check and mysofa_open accept free-field head-related responses
// (SimpleFreeFieldHRIR) only, which a cabin's are not.
#pragma once

#include <array>
#include <ctime>
#include <string>
#include <vector>

#include "base/table.h"
#include "base/vector.h"

namespace cabinfield {

/// A loudspeaker; for a channel with several drivers, their mean position.
struct SofaEmitter {
  std::string name;
  Vector3 position_m = Vector3::Zero();  ///< in the vehicle's frame
  Vector3 view = Vector3::UnitX();       ///< unit vector of the radiation axis
};

struct SofaListener {
  std::string name;
  std::array<Vector3, 2> ear_position_m = {Vector3::Zero(),
                                           Vector3::Zero()};  ///< left, right; in the vehicle's frame
};

struct SofaFile {
  std::string title;
  std::string comment;  ///< unit of the samples and further information
  std::string history;  ///< how the responses were computed
  std::string program_version;
  std::time_t created = 0;  ///< UTC
  double sample_rate_hz = 0;
  std::vector<SofaListener> listener;  ///< M
  std::vector<SofaEmitter> emitter;    ///< E
  Table<double, 4> impulse;            ///< [M,2,E,N]; sample 0 is the time of emission
};

/// Writes the file, whole or not at all. Throws std::invalid_argument for inconsistent shapes, nothing to
/// write, or a value that is not finite; MachineError where it cannot be written.
void write_sofa_file(const std::string& path, const SofaFile& sofa);

}  // namespace cabinfield
