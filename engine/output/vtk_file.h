// Pressure maps as a VTK XML unstructured grid (.vtu), an open format.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "predict/results.h"

namespace cabinfield {

/// The file: triangles, the surface number of each, and the level (dB re 20 uPa, RMS) and pressure (real,
/// imaginary; Pa) at the points for every driver and channel at every frequency. Arrays are inline in base64
/// with 64-bit sizes, little-endian ("VTK File Formats", VTK User's Guide).
std::vector<std::byte> vtk_map_file(const Results& results);

}  // namespace cabinfield
