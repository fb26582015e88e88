#include "geometry/cabin.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>

#include "support/cabins.h"

namespace cabinfield {
namespace {

using testing::HasSubstr;

TEST(Cabin, BoxHasSixNamedFacesWithInwardNormals) {
  const Cabin cabin = test::box_cabin({2.0, 1.4, 1.1});
  ASSERT_EQ(cabin.faces().size(), 6u);
  const Vector3 middle(1.0, 0, 0.55);
  for (const Face& face : cabin.faces())
    EXPECT_GT(face.height_over(middle), 0) << cabin.surfaces()[face.surface];
  for (const char* name : {"front", "rear", "left", "right", "floor", "roof"})
    EXPECT_GE(cabin.surface_index(name), 0) << name;
  EXPECT_EQ(cabin.land({1, 0.1, 0.2}, "left").point, Vector3(1, -0.7, 0.2));
  EXPECT_DOUBLE_EQ(cabin.air_volume_m3(), 2.0 * 1.4 * 1.1);
}

TEST(Cabin, SweptFacesArePlanarAndClosed) {
  // Each edge of a closed shell belongs to two faces: the areas, as vectors, cancel.
  const Cabin cabin = test::car_cabin();
  Vector3 sum = Vector3::Zero();
  double volume = 0;
  for (const Face& face : cabin.faces()) {
    if (face.block >= 0) continue;
    Vector3 area = Vector3::Zero();
    for (std::size_t i = 0; i < face.corner.size(); ++i) {
      EXPECT_NEAR(face.height_over(face.corner[i]), 0, 1e-9) << cabin.surfaces()[face.surface];
      area += 0.5 * face.corner[i].cross(face.corner[(i + 1) % face.corner.size()]);
    }
    sum += area;
    volume -= face.offset * area.norm() / 3;  // divergence theorem; normals point inward
  }
  EXPECT_LT(sum.norm(), 1e-9);
  // The sampled volume of the empty shell against the exact one of its faces.
  CabinShape empty = test::car_shape();
  empty.blocks.clear();
  std::vector<ShapeProblem> problems;
  EXPECT_NEAR(Cabin::build(empty, problems).air_volume_m3(), volume, 0.005 * volume);
}

TEST(Cabin, OutlineMayRunEitherWayRound) {
  CabinShape turned = test::car_shape();
  std::vector<OutlineCorner> corners;
  // Reversed: the name at a corner belongs to the edge to the next corner, which was the previous edge.
  const auto& given = turned.outline;
  for (std::size_t i = given.size(); i-- > 0;) {
    OutlineCorner corner = given[i];
    corner.surface = given[(i + given.size() - 1) % given.size()].surface;
    corners.push_back(corner);
  }
  turned.outline = corners;
  std::vector<ShapeProblem> problems;
  const Cabin cabin = Cabin::build(turned, problems), reference = test::car_cabin();
  ASSERT_TRUE(problems.empty());
  for (const std::string& surface : reference.surfaces()) {
    const Landing a = reference.land({1.2, 0.1, 0.5}, surface), b = cabin.land({1.2, 0.1, 0.5}, surface);
    EXPECT_LT((a.point - b.point).norm(), 1e-9) << surface;
  }
}

TEST(Cabin, BlocksMayOverlapTouchAndStickOut) {
  CabinShape shape = test::box_shape_of({2.0, 1.4, 1.1});
  auto add = [&](const char* name, double x0, double x1, double y0, double y1, double z0, double z1,
                 bool cut = false) {
    Block block;
    block.name = name;
    block.corner = {{{x0, z0}, ""}, {{x1, z0}, ""}, {{x1, z1}, ""}, {{x0, z1}, ""}};
    block.range = {y0, y1};
    block.cut = cut;
    shape.blocks.push_back(block);
  };
  add("a", 0.5, 1.0, -0.3, 0.3, -0.2, 0.5);  // through the floor
  add("b", 0.9, 1.4, -0.2, 0.2, 0.0, 0.4);   // overlaps a
  add("c", 1.4, 1.6, -0.2, 0.2, 0.0, 0.4);   // touches b
  add("well", 0.6, 0.8, -0.1, 0.1, 0.2, 0.6, true);
  std::vector<ShapeProblem> problems;
  const Cabin cabin = Cabin::build(shape, problems);
  ASSERT_TRUE(problems.empty());
  EXPECT_FALSE(cabin.in_air({0.55, 0, 0.1}));
  EXPECT_TRUE(cabin.in_air({0.7, 0, 0.3})) << "the cut is air";
  EXPECT_FALSE(cabin.in_air({0.7, 0, 0.1})) << "below the cut is solid";
  EXPECT_FALSE(cabin.in_air({1.4, 0, 0.2})) << "no gap between blocks that touch";
  EXPECT_FALSE(cabin.in_air({0.7, 0, -0.1})) << "what sticks out is not cabin";
  EXPECT_TRUE(cabin.segment_free({0.1, 0, 0.8}, {1.9, 0, 0.8}));
  EXPECT_FALSE(cabin.segment_free({0.1, 0, 0.3}, {1.9, 0, 0.3}));
  EXPECT_TRUE(cabin.segment_free({0.1, 0, 0.5}, {1.9, 0, 0.5})) << "along the top of a is free";
  EXPECT_FALSE(cabin.segment_free({0.7, 0, 0.3}, {0.7, 0.5, 0.3})) << "out through the side of the cut";
  EXPECT_FALSE(cabin.segment_free({1.4, 0.5, 0.2}, {1.4, -0.5, 0.2}))
      << "no way through the joint of b and c";
  const double a = 0.5 * 0.6 * 0.5, b = 0.4 * 0.4 * 0.4, c = 0.2 * 0.4 * 0.4, well = 0.2 * 0.2 * 0.3;
  EXPECT_NEAR(cabin.air_volume_m3(), 2.0 * 1.4 * 1.1 - a - b - c + well, 0.01);
  EXPECT_FALSE(cabin.exposed(cabin.land({1.4, 0, 0.2}, "c.front").face, {1.4, 0, 0.2}))
      << "the joint is no surface";
  EXPECT_TRUE(cabin.exposed(cabin.land({0.7, 0, 0.2}, "well.bottom").face, {0.7, 0, 0.2}))
      << "the floor of the cut is one";
}

TEST(Cabin, PatchCoversItsPartOfASurface) {
  CabinShape shape = test::car_shape();
  SurfacePatch patch;
  patch.surface = "door_left";
  patch.name = "boot_side_left";
  patch.range[0] = std::array{1.9, 3.0};
  patch.material = 3;
  shape.patches.push_back(patch);
  std::vector<ShapeProblem> problems;
  const Cabin cabin = Cabin::build(shape, problems);
  ASSERT_TRUE(problems.empty());
  auto surface_at = [&](double x) {
    const Vector3 point(x, -0.70, 0.4);
    const Landing door = cabin.land(point, "door_left"), boot = cabin.land(point, "boot_side_left");
    return door.distance_m < boot.distance_m ? "door_left" : "boot_side_left";
  };
  EXPECT_STREQ(surface_at(1.85), "door_left");
  EXPECT_STREQ(surface_at(1.95), "boot_side_left");
  EXPECT_EQ(cabin.faces()[cabin.land({2.1, -0.7, 0.4}, "boot_side_left").face].material, 3);
}

TEST(Cabin, ReportsGeometryErrors) {
  auto problems_of = [](CabinShape shape) {
    std::vector<ShapeProblem> problems;
    Cabin::build(std::move(shape), problems);
    std::string words;
    for (const ShapeProblem& problem : problems) words += problem.message + "\n";
    return words;
  };
  CabinShape crossed = test::car_shape();
  std::swap(crossed.outline[1], crossed.outline[2]);
  EXPECT_THAT(problems_of(crossed), HasSubstr("crosses or touches itself"));
  CabinShape low = test::car_shape();
  low.sides.back().z -= 0.10;
  EXPECT_THAT(problems_of(low), HasSubstr("disagree on the roof"));
  CabinShape order = test::car_shape();
  order.sides[1].z = -0.5;
  EXPECT_THAT(problems_of(order), HasSubstr("from floor to roof"));
  CabinShape thin = test::car_shape();
  thin.blocks[0].range = {0.1, 0.1};
  EXPECT_THAT(problems_of(thin), HasSubstr("at least 1 mm"));
  CabinShape stray = test::car_shape();
  stray.patches.push_back({"door_left", {std::array{9.0, 9.5}, std::nullopt, std::nullopt}, "far", 0});
  EXPECT_THAT(problems_of(stray), HasSubstr("covers no part"));
  EXPECT_EQ(problems_of(test::car_shape()), "");
}

TEST(Cabin, ReportsWhereAPointIs) {
  const Cabin cabin = test::car_cabin();
  const PointReport outside = cabin.report({1.0, -0.95, 0.4});
  EXPECT_TRUE(outside.outside);
  EXPECT_EQ(outside.nearest, "door_left");
  EXPECT_NEAR(outside.distance_m, 0.25, 0.03);
  const PointReport inside = cabin.report({0.2, 0.0, 0.70});
  EXPECT_FALSE(inside.in_air);
  ASSERT_GE(inside.block, 0);
  EXPECT_EQ(cabin.shape().blocks[inside.block].name, "dash");
  EXPECT_EQ(inside.nearest, "dash.top");
}

TEST(Cabin, SegmentsAgreeWithSampledPoints) {
  // 2,000 random lines against 400 points along each, except where 400 points cannot decide.
  const Cabin cabin = test::car_cabin();
  std::mt19937 random(7);
  std::uniform_real_distribution<double> x(-0.1, 2.5), y(-0.8, 0.8), z(-0.1, 1.2);
  int free_lines = 0;
  for (int i = 0; i < 2000; ++i) {
    const Vector3 a(x(random), y(random), z(random)), b(x(random), y(random), z(random));
    int solid = 0;
    constexpr int steps = 400;
    for (int k = 0; k < steps; ++k) solid += !cabin.in_air(a + (k + 0.5) / steps * (b - a));
    const bool is_free = cabin.segment_free(a, b);
    free_lines += is_free;
    if (solid > 0) {
      EXPECT_FALSE(is_free) << a.transpose() << " to " << b.transpose();
    }
    if (solid == 0 && !is_free) {
      // The points may only have missed a sliver.
      int fine = 0;
      for (int k = 0; k < 100 * steps; ++k) fine += !cabin.in_air(a + (k + 0.5) / (100 * steps) * (b - a));
      EXPECT_GT(fine, 0) << a.transpose() << " to " << b.transpose();
    }
  }
  EXPECT_GT(free_lines, 100);
}

}  // namespace
}  // namespace cabinfield
