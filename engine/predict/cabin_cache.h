// The cabin cache: a solved cabin in a file, so that the next prediction in the same cabin need not solve it
// again.
//
// An HDF5 file with the mesh, the reduced basis, the projected terms and the ears. Its name is a hash of all
// that the solution depends on: shape of the cabin, ears, mesh size and top frequency; not the materials, for
// which the basis is checked and enriched. A checksum of the whole file (XXH3, 128 bits) follows the end of
// the HDF5 data, so that a damaged file is recognised before the HDF5 library opens it.
#pragma once

#include <optional>
#include <string>

#include "field/wave/wave_field.h"

namespace cabinfield {

/// Key of a solved cabin: 32 hexadecimal digits (XXH3, 128 bits).
std::string cabin_key(const Cabin& cabin, const std::vector<Vector3>& ears, const WaveOptions& options);

/// `FOLDER/cabin-KEY.h5`, with the first 12 digits.
std::string cached_cabin_path(const std::string& folder, const std::string& key);

/// Writes the file, whole or not at all. Throws MachineError.
void write_cached_cabin(const std::string& path, const std::string& key, const WaveCabin& solved);

/// Empty without such a file. Throws UnreadableFile for a damaged file, another kind of file, or another
/// cabin.
std::optional<WaveCabin> read_cached_cabin(const std::string& path, const std::string& key,
                                           const Cabin& cabin);

}  // namespace cabinfield
