// A mesh as a file that other programs read: gmsh's MSH format, version 2.2, ASCII (Gmsh reference manual,
// section on legacy formats). Tetrahedra carry the tag region + 2 (air 1), boundary triangles face + 1;
// sheets are left out.
#pragma once

#include <filesystem>

#include "field/wave/mesh.h"

namespace cabinfield::test {

/// Throws std::runtime_error where the file cannot be written.
void write_gmsh_file(const Mesh& mesh, const std::filesystem::path& path);

}  // namespace cabinfield::test
