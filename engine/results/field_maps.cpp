#include "results/field_maps.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "geometry/partition.h"
#include "listening/response.h"
#include "results/field_solution.h"

namespace cabinfield {
namespace {

/// A point that is an unknown itself.
PointValue unknown_itself(int unknown) {
  PointValue value;
  value.unknown.fill(unknown);
  value.weight[0] = 1;
  return value;
}

class Collector {
 public:
  Collector(const QuadraticSpace& space, FieldMaps& maps) : space_(space), maps_(maps) {}

  /// A quadratic triangle as four flat ones.
  void add(const std::array<int, 6>& unknown, int surface) {
    std::array<int, 6> point{};
    for (std::size_t n = 0; n < 6; ++n) point[n] = point_of(unknown[n]);
    const auto [a, b, c, ab, ac, bc] = point;
    for (const std::array<int, 3>& flat :
         {std::array{a, ab, ac}, std::array{ab, b, bc}, std::array{ac, bc, c}, std::array{ab, bc, ac}}) {
      maps_.triangle.push_back(flat);
      maps_.triangle_surface.push_back(surface);
    }
  }

  int add(const PointValue& value, const Vector3& place) {
    values_.push_back(value);
    maps_.point_m.push_back(place);
    return static_cast<int>(values_.size()) - 1;
  }

  const std::vector<PointValue>& values() const { return values_; }

 private:
  int point_of(int unknown) {
    const auto [found, fresh] = point_.try_emplace(unknown, static_cast<int>(values_.size()));
    if (fresh) add(unknown_itself(unknown), space_.position()[unknown]);
    return found->second;
  }

  const QuadraticSpace& space_;
  FieldMaps& maps_;
  std::map<int, int> point_;
  std::vector<PointValue> values_;
};

using Corners = std::array<int, 3>;

Corners corners_of(std::array<int, 3> unknown) {
  std::sort(unknown.begin(), unknown.end());
  return unknown;
}

/// Which side of its sheet each triangle of unknowns is on: they belong to the tetrahedron there alone.
class SheetSides {
 public:
  explicit SheetSides(const QuadraticSpace& space) : space_(space) {
    for (const QuadraticSpace::SheetSix& six : space.sheets())
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

  /// The middle of the tetrahedron on that side.
  Vector3 centre_beside(const std::array<int, 6>& side) const {
    const auto& corner = space_.tetrahedra()[tetrahedron_.at(corners_of({side[0], side[1], side[2]}))];
    Vector3 sum = Vector3::Zero();
    for (int i = 0; i < 4; ++i) sum += space_.position()[corner[i]];
    return 0.25 * sum;
  }

 private:
  const QuadraticSpace& space_;
  std::map<Corners, int> tetrahedron_;
};

/// The same triangle, counter-clockwise as seen from a point.
std::array<int, 6> seen_from(const Vector3& point, const std::array<int, 6>& unknown,
                             const QuadraticSpace& space) {
  const Vector3 &a = space.position()[unknown[0]], &b = space.position()[unknown[1]],
                &c = space.position()[unknown[2]];
  if ((b - a).cross(c - a).dot(point - a) > 0) return unknown;
  return {unknown[0], unknown[2], unknown[1], unknown[4], unknown[3], unknown[5]};
}

/// The face of a partition's stand-in that looks to where the point is.
int surface_of_side(const Cabin& cabin, int index, const Vector3& point) {
  const Partition& partition = cabin.shape().partitions[index];
  const bool behind = on_partition(partition, point).off_m > 0;
  const int upright = cabin.surface_index(partition.name + (behind ? ".rear" : ".front"));
  return upright >= 0 ? upright : cabin.surface_index(partition.name + (behind ? ".top" : ".bottom"));
}

void add_level(const Scene& scene, const QuadraticSpace& space, int surface, Collector& collector,
               FieldMaps& maps) {
  double height_m = 0;
  for (const Seat& seat : scene.seats) height_m += 0.5 * (seat.ear[0].z() + seat.ear[1].z());
  height_m /= static_cast<double>(scene.seats.size());
  Vector3 low = space.position().front(), high = low;
  for (const Vector3& place : space.position()) {
    low = low.cwiseMin(place);
    high = high.cwiseMax(place);
  }
  const auto steps = [](double length_m) { return static_cast<int>(std::floor(length_m / map_step_m)); };
  const int across = steps(high.y() - low.y()), along = steps(high.x() - low.x());
  // The lattice lies evenly about the middle of the cabin.
  const Vector3 first(0.5 * (low.x() + high.x() - along * map_step_m),
                      0.5 * (low.y() + high.y() - across * map_step_m), height_m);
  Table<int, 2> point({static_cast<std::size_t>(along + 1), static_cast<std::size_t>(across + 1)}, -1);
  for (int i = 0; i <= along; ++i)
    for (int j = 0; j <= across; ++j) {
      const Vector3 place = first + Vector3(i * map_step_m, j * map_step_m, 0);
      if (!scene.cabin->in_air(place)) continue;
      const PointValue value = space.at(place);
      if (value.outside_m < 0.1 * map_step_m) point(i, j) = collector.add(value, place);
    }
  for (int i = 0; i < along; ++i)
    for (int j = 0; j < across; ++j) {
      const int a = point(i, j), b = point(i + 1, j), c = point(i + 1, j + 1), d = point(i, j + 1);
      if (a < 0 || b < 0 || c < 0 || d < 0) continue;
      // A board or a partition may stand between two points that are both in the air.
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

MapPlaces map_places(const Scene& scene, const WaveField& field) {
  MapPlaces places;
  FieldMaps& maps = places.maps;
  maps.surface = scene.cabin->surfaces();
  const QuadraticSpace& space = *field.solved().space;
  Collector collector(space, maps);
  for (const QuadraticSpace::BoundarySix& six : space.boundary())
    collector.add(six.unknown, scene.cabin->faces()[six.face].surface);
  const SheetSides sides(space);
  for (const QuadraticSpace::SheetSix& six : space.sheets())
    for (const auto& unknown : {six.front, six.back}) {
      const Vector3 beside = sides.centre_beside(unknown);
      collector.add(seen_from(beside, unknown, space), surface_of_side(*scene.cabin, six.partition, beside));
    }
  maps.surface.push_back("ear height");
  add_level(scene, space, static_cast<int>(maps.surface.size()) - 1, collector, maps);
  places.columns_at = field.columns_at(collector.values());
  return places;
}

Eigen::MatrixXcd map_transfer(const Scene& scene, const WaveField& field, const MapPlaces& places,
                              double frequency_hz) {
  const Eigen::MatrixXcd of_sources =
      field.transfer_to(places.columns_at, sources_of(scene, 0), frequency_hz);
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
