// A file that appears whole or not at all.
#pragma once

#include <cstddef>
#include <span>
#include <string>

namespace cabinfield {

/// Throws MachineError where `path` plainly cannot be written: a folder or device stands there, its own
/// folder is missing or closed to us, or the file is write-protected. Ask before long work. Leaves no trace
/// on the disk.
void check_writable(const std::string& path);

/// Writes `bytes` beside `path` under a name of its own, forces them to the disk and renames: a file already
/// at `path` stays as it was until then. Symbolic links are followed. On failure (no permission, missing
/// folder, full disk) the partial file is removed and MachineError says why in plain words.
void write_whole_file(const std::string& path, std::span<const std::byte> bytes);

}  // namespace cabinfield
