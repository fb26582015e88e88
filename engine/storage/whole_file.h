// Atomic writing of files: whole or not at all.
#pragma once

#include <cstddef>
#include <span>
#include <string>

namespace cabinfield {

/// Throws MachineError where `path` cannot be written: it is a folder or device, its folder is missing or not
/// writable, or the file is write-protected. Call it before long work. Leaves no trace on the disk.
void check_writable(const std::string& path);

/// Writes `bytes` to a temporary file beside `path`, flushes it to the disk and renames it: an existing file
/// stays unchanged until then. Symbolic links are followed. On failure (no permission, missing folder, full
/// disk) the temporary file is removed and MachineError gives the reason.
void write_whole_file(const std::string& path, std::span<const std::byte> bytes);

}  // namespace cabinfield
