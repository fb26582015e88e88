// Maps of the sound as a VTK XML unstructured grid (.vtu), for any viewer of that open format.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "predict/results.h"

namespace cabinfield {

/// The whole file: triangles, the number of the surface of each, and of every driver and channel at every
/// frequency the level (dB re 20 uPa, RMS) and the pressure (real, imaginary; Pa) at the points. Arrays are
/// inline in base64 with 64-bit sizes, little-endian, as "VTK File Formats" of the VTK User's Guide has it.
std::vector<std::byte> vtk_map_file(const Results& results);

}  // namespace cabinfield
