// A solved cabin kept in a file of its own, so that the next prediction in the same cabin need not solve it
// again.
//
// An HDF5 file: the mesh, the reduced basis with its projected matrices, the fields of the ears. Named by a
// key of all that it depends on: the cabin's shape, its ears, the mesh and the top frequency; not its
// materials, for which the columns are checked and added to. Behind its end stands a seal over the whole
// file (XXH3, 128 bits), which tells a damaged one before the HDF5 library sees it.
#pragma once

#include <optional>
#include <string>

#include "field/wave/wave_field.h"

namespace cabinfield {

/// 32 hexadecimal digits (XXH3, 128 bits).
std::string cabin_key(const Cabin& cabin, const std::vector<Vector3>& ears, const WaveOptions& options);

/// `FOLDER/cabin-KEY.h5`, with the first 12 digits.
std::string cached_cabin_path(const std::string& folder, const std::string& key);

/// Whole or not at all. Throws MachineError.
void write_cached_cabin(const std::string& path, const std::string& key, const WaveCabin& solved);

/// Empty where there is no such file. Throws UnreadableFile where it is damaged, foreign, or of another
/// cabin.
std::optional<WaveCabin> read_cached_cabin(const std::string& path, const std::string& key,
                                           const Cabin& cabin);

}  // namespace cabinfield
