#include "geometry/diffraction_path.h"

#include <gtest/gtest.h>

#include <cmath>

#include "support/cabins.h"

namespace cabinfield {
namespace {

Block slab(const char* name, double x0, double x1, double y0, double y1, double z0, double z1) {
  Block block;
  block.name = name;
  block.corner = {{{x0, z0}, ""}, {{x1, z0}, ""}, {{x1, z1}, ""}, {{x0, z1}, ""}};
  block.range = {y0, y1};
  return block;
}

Cabin hall_with(std::vector<Block> blocks) {
  CabinShape shape = test::box_shape_of({4, 3, 2});
  shape.blocks = std::move(blocks);
  std::vector<ShapeProblem> problems;
  return Cabin::build(shape, problems);
}

TEST(DiffractionPath, OverAThinWallUnfoldsIntoATriangle) {
  // A wall across the hall, 1 m high at x = 2 (2 mm thick): over its edge, both ends at heights h1, h2 below
  // it and at different y.
  const Cabin cabin = hall_with({slab("wall", 1.999, 2.001, -2, 2, -0.1, 1.0)});
  const Vector3 a(1.2, -0.4, 0.3), b(3.1, 0.5, 0.6);
  const Way way = DiffractionPath(cabin).find(a, {b}).front();
  ASSERT_TRUE(way.exists);
  // Unfolded: perpendicular distances to the edge line add, the offset along it stays. Exact for zero
  // thickness.
  const double off_a = std::hypot(0.8, 0.7), off_b = std::hypot(1.1, 0.4);
  EXPECT_NEAR(way.length_m, std::hypot(off_a + off_b, 0.9), 2e-3);
  ASSERT_GE(way.bends.size(), 1u);
  EXPECT_NEAR(way.bends.front().y(), -0.4 + 0.9 * off_a / (off_a + off_b), 5e-3);
}

TEST(DiffractionPath, OverAThickBlockHasTwoBends) {
  // Over a block 0.5 m thick and 1 m high, in the plane y = 0: two slants and the top.
  const Cabin cabin = hall_with({slab("block", 1.75, 2.25, -2, 2, -0.1, 1.0)});
  const Way way = DiffractionPath(cabin).find({1.0, 0, 0.2}, {{3.0, 0, 0.4}}).front();
  EXPECT_NEAR(way.length_m, std::hypot(0.75, 0.8) + 0.5 + std::hypot(0.75, 0.6), 1e-7);
  EXPECT_EQ(way.bends.size(), 2u);
}

TEST(DiffractionPath, TakesTheNearerSide) {
  // A wall that leaves 0.3 m at the right and is tall: the path goes round its right edge.
  const Cabin cabin = hall_with({slab("wall", 1.999, 2.001, -2, 1.2, -0.1, 1.9)});
  const Way way = DiffractionPath(cabin).find({1.2, 0.6, 0.5}, {{2.8, 0.6, 0.5}}).front();
  EXPECT_NEAR(way.length_m, 2 * std::hypot(0.8, 0.6), 3e-3);
  EXPECT_NEAR(way.bends.front().y(), 1.2, 1e-9);
}

TEST(DiffractionPath, FreeLinesAreStraightAndSealedRoomsHaveNoPath) {
  const Cabin open = hall_with({});
  const Way straight = DiffractionPath(open).find({1, 0, 1}, {{3, 1, 1}}).front();
  EXPECT_TRUE(straight.exists);
  EXPECT_TRUE(straight.bends.empty());
  EXPECT_DOUBLE_EQ(straight.length_m, std::sqrt(5.0));
  const Cabin cut_in_two = hall_with({slab("wall", 1.9, 2.1, -2, 2, -0.1, 2.1)});
  EXPECT_FALSE(DiffractionPath(cut_in_two).find({1, 0, 1}, {{3, 0, 1}}).front().exists);
}

TEST(DiffractionPath, NeverShorterThanStraightAndTheSameBothWays) {
  int bent = 0;
  for (unsigned seed = 1; seed <= 12; ++seed) {
    const Cabin cabin = test::random_cabin(seed);
    const DiffractionPath ways(cabin);
    for (unsigned i = 0; i < 4; ++i) {
      const Vector3 a = test::random_air_point(cabin, 10 * seed + i),
                    b = test::random_air_point(cabin, 10 * seed + i + 5000);
      const Way there = ways.find(a, {b}).front(), back = ways.find(b, {a}).front();
      ASSERT_EQ(there.exists, back.exists) << "cabin " << seed;
      if (!there.exists) continue;
      EXPECT_GE(there.length_m, (b - a).norm() - 1e-12);
      // From the other end, sampling may select other edges; pulled tight, the lengths agree closely.
      EXPECT_NEAR(there.length_m, back.length_m, 2e-3) << "cabin " << seed << ", pair " << i;
      bent += !there.bends.empty();
      Vector3 last = a;
      for (const Vector3& bend : there.bends) {
        EXPECT_TRUE(cabin.segment_free(last, bend));
        last = bend;
      }
      EXPECT_TRUE(cabin.segment_free(last, b));
    }
  }
  EXPECT_GT(bent, 3);
}

}  // namespace
}  // namespace cabinfield
