// Points over a surface: on it, with the given spacing and margin, symmetric, and contained in finer grids.
#include "study/surface_points.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <set>
#include <tuple>

#include "support/cabins.h"

namespace cabinfield::test {
namespace {

using Key = std::tuple<long, long, long>;
/// To 0.1 mm.
Key key_of(const Vector3& point, double side = 1) {
  return {std::lround(point.x() * 1e4), std::lround(side * point.y() * 1e4), std::lround(point.z() * 1e4)};
}
std::set<Key> keys_of(const std::vector<Vector3>& points, double side = 1) {
  std::set<Key> keys;
  for (const Vector3& point : points) keys.insert(key_of(point, side));
  return keys;
}

TEST(SurfacePoints, OfAWallOfABoxAreCounted) {
  const Cabin cabin = box_cabin({2.0, 1.4, 1.1});
  // x 0 to 2 and y -0.7 to 0.7: multiples of 0.1 at least 0.05 from the edges.
  const auto points = surface_points(cabin, "floor", 0.1, 0.05);
  EXPECT_EQ(points.size(), 19U * 13U);
  for (const Vector3& point : points) {
    EXPECT_NEAR(point.z(), 0, 1e-12);
    EXPECT_GE(point.x(), 0.1 - 1e-9);
    EXPECT_LE(std::abs(point.y()), 0.6 + 1e-9);
  }
  EXPECT_EQ(surface_points(cabin, "left", 0.1, 0.05).size(), 19U * 10U);  // z 0.1 to 1.0
  EXPECT_EQ(surface_points(cabin, "front", 0.1, 0.05).size(), 13U * 10U);
  EXPECT_TRUE(surface_points(cabin, "floor", 0.1, 0.8).empty());
  EXPECT_TRUE(surface_points(cabin, "ceiling", 0.1, 0).empty());
  EXPECT_TRUE(surface_points(cabin, "floor", 1e-4, 0).empty()) << "too many";
}

TEST(SurfacePoints, AreOnTheSurfaceWithWallAllRound) {
  const Cabin cabin = car_cabin();
  int surfaces = 0;
  for (const std::string& surface : cabin.surfaces()) {
    const auto points = surface_points(cabin, surface, 0.06, 0.04);
    surfaces += points.empty() ? 0 : 1;
    for (const Vector3& point : points) {
      const Landing landing = cabin.land(point, surface);
      ASSERT_LT(landing.distance_m, 1e-4) << surface;
      ASSERT_TRUE(cabin.exposed(landing.face, landing.point)) << surface;
      const Vector3& normal = cabin.faces()[landing.face].normal;
      const Vector3 along = normal.unitOrthogonal();
      for (int turn = 0; turn < 4; ++turn) {
        const Vector3 rim =
            landing.point + 0.039 * (turn < 2 ? along : normal.cross(along)) * (turn % 2 ? 1 : -1);
        EXPECT_TRUE(cabin.in_air(rim + 1e-5 * normal) && !cabin.in_air(rim - 1e-5 * normal)) << surface;
      }
    }
  }
  EXPECT_GT(surfaces, 8);
}

TEST(SurfacePoints, OfACoarseGridAreAmongThoseOfAFineGrid) {
  const Cabin cabin = car_cabin();
  for (const std::string& surface : cabin.surfaces()) {
    const auto fine = keys_of(surface_points(cabin, surface, 0.05, 0.02));
    const auto coarse = keys_of(surface_points(cabin, surface, 0.10, 0.02));
    EXPECT_TRUE(std::includes(fine.begin(), fine.end(), coarse.begin(), coarse.end())) << surface;
  }
}

TEST(SurfacePoints, OfBothSidesAreMirrorImages) {
  const Cabin cabin = box_cabin({2.0, 1.4, 1.1});
  EXPECT_EQ(keys_of(surface_points(cabin, "left", 0.07, 0)),
            keys_of(surface_points(cabin, "right", 0.07, 0), -1));
  const auto floor = surface_points(cabin, "floor", 0.07, 0);
  EXPECT_EQ(keys_of(floor), keys_of(floor, -1));
}

TEST(SurfacePoints, HaveTheGivenSpacing) {
  const Cabin cabin = car_cabin();
  for (const std::string& surface : cabin.surfaces()) {
    const auto points = surface_points(cabin, surface, 0.08, 0);
    for (std::size_t i = 1; i < points.size(); ++i) {
      double nearest = 1;
      for (std::size_t j = 0; j < points.size(); ++j)
        if (j != i && cabin.land(points[j], surface).face == cabin.land(points[i], surface).face)
          nearest = std::min(nearest, (points[j] - points[i]).norm());
      if (nearest < 1) {
        EXPECT_NEAR(nearest, 0.08, 2e-4) << surface;
      }
    }
  }
}

}  // namespace
}  // namespace cabinfield::test
