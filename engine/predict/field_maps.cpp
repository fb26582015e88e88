#include "predict/field_maps.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "geometry/partition.h"
#include "listening/response.h"
#include "predict/field_solution.h"

namespace cabinfield {
namespace {

/// The value of one degree of freedom.
PointValue value_of_degree(int degree_of_freedom) {
  PointValue value;
  value.degree_of_freedom.fill(degree_of_freedom);
  value.weight[0] = 1;
  return value;
}

class Collector {
 public:
  Collector(const FiniteElementSpace& space, FieldMaps& maps) : space_(space), maps_(maps) {}

  /// A second-order triangle as four flat ones.
  void add(const std::array<int, 6>& degree_of_freedom, int surface) {
    std::array<int, 6> point{};
    for (std::size_t n = 0; n < 6; ++n) point[n] = point_of(degree_of_freedom[n]);
    const auto [a, b, c, ab, ac, bc] = point;
    for (const std::array<int, 3>& flat :
         {std::array{a, ab, ac}, std::array{ab, b, bc}, std::array{ac, bc, c}, std::array{ab, bc, ac}}) {
      maps_.triangle.push_back(flat);
      maps_.triangle_surface.push_back(surface);
    }
  }

  int add(const PointValue& value, const Vector3& location) {
    values_.push_back(value);
    maps_.point_m.push_back(location);
    return static_cast<int>(values_.size()) - 1;
  }

  const std::vector<PointValue>& values() const { return values_; }

 private:
  int point_of(int degree_of_freedom) {
    const auto [found, fresh] = point_.try_emplace(degree_of_freedom, static_cast<int>(values_.size()));
    if (fresh) add(value_of_degree(degree_of_freedom), space_.position()[degree_of_freedom]);
    return found->second;
  }

  const FiniteElementSpace& space_;
  FieldMaps& maps_;
  std::map<int, int> point_;
  std::vector<PointValue> values_;
};

using Corners = std::array<int, 3>;

Corners corners_of(std::array<int, 3> degree_of_freedom) {
  std::sort(degree_of_freedom.begin(), degree_of_freedom.end());
  return degree_of_freedom;
}

/// Finds the tetrahedron at each side of a sheet: only it has the degrees of freedom of that side.
class SheetSides {
 public:
  explicit SheetSides(const FiniteElementSpace& space) : space_(space) {
    for (const FiniteElementSpace::InterfaceElement& six : space.sheets())
      for (const auto& side : {six.front, six.back})
        tetrahedron_[corners_of({side[0], side[1], side[2]})] = -1;
    if (tetrahedron_.empty()) return;
    for (int t = 0; t < static_cast<int>(space.tetrahedra().size()); ++t) {
      const auto& corner = space.tetrahedra()[t];
      for (const Corners& face : {Corners{0, 1, 2}, Corners{0, 1, 3}, Corners{0, 2, 3}, Corners{1, 2, 3}}) {
        const auto found = tetrahedron_.find(corners_of({corner[face[0]], corner[face[1]], corner[face[2]]}));
        if (found != tetrahedron_.end()) found->second = t;
      }
    }
  }

  /// Centroid of the tetrahedron on that side.
  Vector3 centre_beside(const std::array<int, 6>& side) const {
    const auto& corner = space_.tetrahedra()[tetrahedron_.at(corners_of({side[0], side[1], side[2]}))];
    Vector3 sum = Vector3::Zero();
    for (int i = 0; i < 4; ++i) sum += space_.position()[corner[i]];
    return 0.25 * sum;
  }

 private:
  const FiniteElementSpace& space_;
  std::map<Corners, int> tetrahedron_;
};

/// The same triangle, counter-clockwise as seen from a point.
std::array<int, 6> seen_from(const Vector3& point, const std::array<int, 6>& degree_of_freedom,
                             const FiniteElementSpace& space) {
  const Vector3 &a = space.position()[degree_of_freedom[0]], &b = space.position()[degree_of_freedom[1]],
                &c = space.position()[degree_of_freedom[2]];
  if ((b - a).cross(c - a).dot(point - a) > 0) return degree_of_freedom;
  return {degree_of_freedom[0], degree_of_freedom[2], degree_of_freedom[1],
          degree_of_freedom[4], degree_of_freedom[3], degree_of_freedom[5]};
}

/// The surface of a partition on the side of the point.
int surface_of_side(const Cabin& cabin, int index, const Vector3& point) {
  const Partition& partition = cabin.shape().partitions[index];
  const bool behind = on_partition(partition, point).off_m > 0;
  const int upright = cabin.surface_index(partition.name + (behind ? ".rear" : ".front"));
  return upright >= 0 ? upright : cabin.surface_index(partition.name + (behind ? ".top" : ".bottom"));
}

void add_level(const Scene& scene, const FiniteElementSpace& space, int surface, Collector& collector,
               FieldMaps& maps) {
  double height_m = 0;
  for (const Seat& seat : scene.seats) height_m += 0.5 * (seat.ear[0].z() + seat.ear[1].z());
  height_m /= static_cast<double>(scene.seats.size());
  Vector3 low = space.position().front(), high = low;
  for (const Vector3& location : space.position()) {
    low = low.cwiseMin(location);
    high = high.cwiseMax(location);
  }
  const auto steps = [](double length_m) { return static_cast<int>(std::floor(length_m / map_step_m)); };
  const int across = steps(high.y() - low.y()), along = steps(high.x() - low.x());
  // The lattice is centred in the cabin.
  const Vector3 first(0.5 * (low.x() + high.x() - along * map_step_m),
                      0.5 * (low.y() + high.y() - across * map_step_m), height_m);
  Table<int, 2> point({static_cast<std::size_t>(along + 1), static_cast<std::size_t>(across + 1)}, -1);
  for (int i = 0; i <= along; ++i)
    for (int j = 0; j <= across; ++j) {
      const Vector3 location = first + Vector3(i * map_step_m, j * map_step_m, 0);
      if (!scene.cabin->in_air(location)) continue;
      const PointValue value = space.at(location);
      if (value.outside_m < 0.1 * map_step_m) point(i, j) = collector.add(value, location);
    }
  for (int i = 0; i < along; ++i)
    for (int j = 0; j < across; ++j) {
      const int a = point(i, j), b = point(i + 1, j), c = point(i + 1, j + 1), d = point(i, j + 1);
      if (a < 0 || b < 0 || c < 0 || d < 0) continue;
      // A board or a partition may separate two points in the air.
      auto free = [&](int from, int to) {
        return scene.cabin->segment_free(maps.point_m[from], maps.point_m[to]);
      };
      if (!free(a, b) || !free(b, c) || !free(c, d) || !free(d, a) || !free(a, c)) continue;
      for (const std::array<int, 3>& half : {std::array{a, b, c}, std::array{a, c, d}}) {
        maps.triangle.push_back(half);
        maps.triangle_surface.push_back(surface);
      }
    }
}

}  // namespace

MapPoints map_points(const Scene& scene, const WaveField& field) {
  MapPoints points;
  FieldMaps& maps = points.maps;
  maps.surface = scene.cabin->surfaces();
  const FiniteElementSpace& space = *field.solved().space;
  Collector collector(space, maps);
  for (const FiniteElementSpace::BoundaryElement& six : space.boundary())
    collector.add(six.degree_of_freedom, scene.cabin->faces()[six.face].surface);
  const SheetSides sides(space);
  for (const FiniteElementSpace::InterfaceElement& six : space.sheets())
    for (const auto& degree_of_freedom : {six.front, six.back}) {
      const Vector3 beside = sides.centre_beside(degree_of_freedom);
      collector.add(seen_from(beside, degree_of_freedom, space),
                    surface_of_side(*scene.cabin, six.partition, beside));
    }
  maps.surface.push_back("ear height");
  add_level(scene, space, static_cast<int>(maps.surface.size()) - 1, collector, maps);
  points.basis = field.basis_at(collector.values());
  return points;
}

Eigen::MatrixXcd map_transfer(const Scene& scene, const WaveField& field, const MapPoints& points,
                              double frequency_hz) {
  const Eigen::MatrixXcd of_sources = field.transfer_to(points.basis, sources_of(scene, 0), frequency_hz);
  const auto drivers = static_cast<Eigen::Index>(scene.drivers.size());
  Eigen::MatrixXcd transfer = of_sources.leftCols(drivers);
  Eigen::Index back = drivers;
  for (Eigen::Index d = 0; d < drivers; ++d) {
    transfer.col(d) *=
        grille_transmission(scene.drivers[d].grille_open_area, scene.air, {frequency_hz}).front();
    if (scene.drivers[d].rear) transfer.col(d) -= of_sources.col(back++);
  }
  return transfer;
}

}  // namespace cabinfield
