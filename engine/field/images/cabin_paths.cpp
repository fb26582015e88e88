#include "field/images/cabin_paths.h"

#include <algorithm>

#include "field/images/departure.h"

namespace cabinfield {
namespace {

/// Departure angles off the axis and off the source's own wall.
void depart(Path& path, const Source& source, const Vector3& direction, const std::vector<Face>& faces) {
  set_departure(path, source, direction);
  if (source.face < 0) return;
  path.own_material = faces[source.face].material;
  path.own_cosine = std::max(0.0, faces[source.face].normal.dot(direction));
}

CabinPath from_mirror_path(const MirrorPath& found, const Source& source, const Vector3& ear,
                           const std::vector<Face>& faces) {
  CabinPath result;
  result.path.length_m = found.length_m;
  result.path.walls = found.order;
  for (int w = 0; w < found.order; ++w)
    result.path.wall[w] = {faces[found.face[w]].material, found.cosine[w], 1};
  result.path.arrival =
      ((found.order == 0 ? source.position : found.point[found.order - 1]) - ear).normalized();
  result.faces.assign(found.face.begin(), found.face.begin() + found.order);
  depart(result.path, source, found.departure, faces);
  return result;
}

CabinPath from_diffraction(const Way& way, const Source& source, const Vector3& ear,
                           const std::vector<Face>& faces) {
  CabinPath result;
  result.diffracted = true;
  result.path.length_m = way.length_m;
  result.path.straight_m = (ear - source.position).norm();
  result.path.arrival = (way.bends.back() - ear).normalized();
  depart(result.path, source, (way.bends.front() - source.position).normalized(), faces);
  return result;
}

}  // namespace

MirrorSearchCount for_each_cabin_path(const Cabin& cabin, const MirrorSearch& search,
                                      const DiffractionPath* diffraction, const Source& source,
                                      const std::vector<Vector3>& ears,
                                      const std::function<void(std::size_t, const CabinPath&)>& found) {
  const MirrorSearchCount count =
      search.run(source.position, ears, [&](std::size_t ear, const MirrorPath& path) {
        found(ear, from_mirror_path(path, source, ears[ear], cabin.faces()));
      });
  if (diffraction == nullptr) return count;
  const std::vector<Way> around = diffraction->find(source.position, ears);
  for (std::size_t e = 0; e < ears.size(); ++e)
    if (around[e].exists && !around[e].bends.empty())
      found(e, from_diffraction(around[e], source, ears[e], cabin.faces()));
  return count;
}

}  // namespace cabinfield
