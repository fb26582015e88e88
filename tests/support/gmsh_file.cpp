#include "support/gmsh_file.h"

#include <fmt/os.h>

namespace cabinfield::test {

void write_gmsh_file(const Mesh& mesh, const std::filesystem::path& path) {
  fmt::ostream file = fmt::output_file(path.string());  // throws std::system_error, a std::runtime_error
  file.print("$MeshFormat\n2.2 0 8\n$EndMeshFormat\n$Nodes\n{}\n", mesh.node.size());
  std::size_t number = 0;
  for (const Vector3& point : mesh.node)
    file.print("{} {:.17g} {:.17g} {:.17g}\n", ++number, point.x(), point.y(), point.z());
  file.print("$EndNodes\n$Elements\n{}\n", mesh.boundary.size() + mesh.tetrahedron.size());
  number = 0;
  for (const BoundaryTriangle& triangle : mesh.boundary)
    file.print("{} 2 2 {} {} {} {} {}\n", ++number, triangle.face + 1, triangle.face + 1,
               triangle.node[0] + 1, triangle.node[1] + 1, triangle.node[2] + 1);
  for (std::size_t i = 0; i < mesh.tetrahedron.size(); ++i) {
    const auto& four = mesh.tetrahedron[i];
    file.print("{} 4 2 {} {} {} {} {} {}\n", ++number, mesh.region[i] + 2, mesh.region[i] + 2, four[0] + 1,
               four[1] + 1, four[2] + 1, four[3] + 1);
  }
  file.print("$EndElements\n");
}

}  // namespace cabinfield::test
