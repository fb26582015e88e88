#include "field/wave/mesh.h"

namespace cabinfield {

double Mesh::volume_m3() const {
  double volume = 0;
  for (const auto& [a, b, c, d] : tetrahedron)
    volume += (node[b] - node[a]).cross(node[c] - node[a]).dot(node[d] - node[a]) / 6;
  return volume;
}

}  // namespace cabinfield
