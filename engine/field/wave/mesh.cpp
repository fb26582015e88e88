#include "field/wave/mesh.h"

#include "field/wave/tetrahedron.h"

namespace cabinfield {

double Mesh::volume_m3() const {
  double volume = 0;
  for (const auto& [a, b, c, d] : tetrahedron)
    volume += tetrahedron_volume_m3(node[a], node[b], node[c], node[d]);
  return volume;
}

}  // namespace cabinfield
