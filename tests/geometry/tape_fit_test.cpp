// Stretching a cabin, and fitting it to tapes by least squares.
#include "geometry/tape_fit.h"

#include <gtest/gtest.h>

#include <cmath>

namespace cabinfield {
namespace {

using Wall = TapeEnd::Wall;

/// 2.4 x 1.4 x 1.2 m with a slanted front, widest at 0.7 m.
CabinShape body() {
  CabinShape shape;
  shape.outline = {
      {{0.0, 0.0}, "front", 0}, {{0.6, 1.2}, "roof", 0}, {{2.4, 1.2}, "rear", 0}, {{2.4, 0.0}, "floor", 0}};
  shape.sides = {{0.0, 0.6, "door", 0}, {0.7, 0.7, "glass", 0}, {1.2, 0.5, "", 0}};
  return shape;
}
const std::vector<Vector3> heads{{1.2, -0.35, 0.95}, {2.0, -0.35, 0.95}};

Eigen::VectorXd stretch_of(const FreePlanes& planes, double value) {
  return Eigen::VectorXd::Constant(static_cast<Eigen::Index>(planes.degrees_of_freedom()), value);
}

TapeLine between_points(const Vector3& from, const Vector3& to, double length_m) {
  TapeLine tape;
  tape.from.point = from;
  tape.to.point = to;
  tape.length_m = length_m;
  return tape;
}

TapeLine wall_to_wall(const Vector3& through, Wall from, Wall to, double length_m = 0) {
  TapeLine tape;
  tape.through = through;
  tape.from.wall = from;
  tape.to.wall = to;
  tape.length_m = length_m;
  return tape;
}

double length_of(const std::array<Vector3, 2>& ends) { return (ends[1] - ends[0]).norm(); }

TEST(FreePlanes, AreAtEndsHeadsRoofAndSills) {
  const FreePlanes planes = free_planes(body(), heads);
  EXPECT_EQ(planes.x, (std::vector<double>{0.0, 0.6, 1.2, 2.0, 2.4}));
  EXPECT_EQ(planes.z, (std::vector<double>{0.0, 0.7, 0.95, 1.2}));
  EXPECT_EQ(planes.half_width, (std::vector<double>{0.6, 0.7, 0.5}));
  EXPECT_DOUBLE_EQ(planes.head_y, 0.35);
  EXPECT_EQ(planes.degrees_of_freedom(), 4U + 3U + 3U + 1U);
}

TEST(CabinWarp, WithoutStretchIsTheIdentity) {
  const CabinWarp warp = unmoved(free_planes(body(), heads));
  for (const Vector3& point : {Vector3(0.3, -0.2, 0.4), Vector3(-0.5, 0.9, 1.5), Vector3(2.7, 0, -0.1)})
    EXPECT_NEAR((warp(point) - point).norm(), 0, 1e-12);
}

TEST(CabinWarp, ScalesEverythingEquallyFromTheOrigin) {
  const FreePlanes planes = free_planes(body(), heads);
  const CabinWarp warp(planes, stretch_of(planes, std::log(1.1)));
  for (const Vector3& point : {Vector3(0.3, -0.2, 0.4), Vector3(2.0, 0.5, 0.95)})
    EXPECT_NEAR((warp(point) - 1.1 * point).norm(), 0, 1e-12);
  // Outside the body it shifts without stretching.
  EXPECT_NEAR(warp.x(2.5), 1.1 * 2.4 + 0.1, 1e-12);
  EXPECT_NEAR(warp.y(-0.65, 0), -(1.1 * 0.6 + 0.05), 1e-12);
}

TEST(CabinWarp, KeepsTheOriginWhereverTheBodyStarts) {
  CabinShape shape = body();
  shape.outline[0].point.x() = -0.4;  // in front of the origin of the tape measurements
  const FreePlanes planes = free_planes(shape, heads);
  const CabinWarp warp(planes, stretch_of(planes, std::log(1.2)));
  EXPECT_NEAR(warp.x(0), 0, 1e-12);
  EXPECT_NEAR(warp.x(-0.4), -0.48, 1e-12);
  EXPECT_NEAR(warp.x(2.4), 2.88, 1e-12);
}

TEST(CabinWarp, KeepsWallsAndTheOrderOfPoints) {
  const FreePlanes planes = free_planes(body(), heads);
  Eigen::VectorXd stretch = stretch_of(planes, 0);
  for (Eigen::Index i = 0; i < stretch.size(); ++i)
    stretch[i] = 0.15 * std::sin(3.0 * static_cast<double>(i) + 1);
  const CabinWarp warp(planes, stretch);
  double before = -1e9;
  for (double x = -0.3; x < 2.8; x += 0.01) {
    EXPECT_GT(warp.x(x), before);
    before = warp.x(x);
  }
  for (double z : {0.0, 0.3, 0.7, 1.0, 1.2})
    EXPECT_NEAR(warp.y(warp.old_half_width(z), z), warp.new_half_width(z), 1e-12);
  EXPECT_DOUBLE_EQ(warp.y(-0.4, 0.5), -warp.y(0.4, 0.5));
  EXPECT_DOUBLE_EQ(warp.x(0), 0);
}

TEST(TapeEnds, MeetTheWallsStraightAlongAnAxis) {
  const CabinShape shape = body();
  const CabinWarp warp = unmoved(free_planes(shape, heads));
  // The front leans from (0, 0) to (0.6, 1.2): at 0.9 m it is at 0.45 m.
  const auto along = tape_ends(warp, shape, wall_to_wall({1.2, 0, 0.9}, Wall::front, Wall::rear));
  EXPECT_NEAR(along[0].x(), 0.45, 1e-12);
  EXPECT_NEAR(along[1].x(), 2.4, 1e-12);
  EXPECT_NEAR(length_of(tape_ends(warp, shape, wall_to_wall({0.3, 0, 0.4}, Wall::floor, Wall::roof))), 0.6,
              1e-12);
  EXPECT_NEAR(length_of(tape_ends(warp, shape, wall_to_wall({1, 0.2, 0.35}, Wall::left, Wall::right))), 1.3,
              1e-12);
}

TEST(FitTapes, OneLengthIsMatchedAndSpreadEvenly) {
  const CabinShape shape = body();
  const FreePlanes planes = free_planes(shape, heads);
  const TapeFit fit =
      fit_tapes(shape, planes, {between_points({0, 0, 0}, {2.4, 0, 0}, 2.64)}, {0.001, false});
  EXPECT_NEAR(fit.tapes[0].fitted_m, 2.64, 1e-3);
  for (double x : planes.x) EXPECT_NEAR(fit.warp.x(x), 1.1 * x, 2e-3);
  EXPECT_NEAR(fit.warp.z(1.2), 1.2, 1e-9);
}

// Several readings of one length: their mean, as least squares must give (Gauss).
TEST(FitTapes, RepeatedReadingsGiveTheirMean) {
  const CabinShape shape = body();
  std::vector<TapeLine> tapes;
  for (double length : {2.405, 2.412, 2.419})
    for (int i = 0; i < 5; ++i) tapes.push_back(between_points({0, 0.1, 0.2}, {2.4, 0.1, 0.2}, length));
  const TapeFit fit = fit_tapes(shape, free_planes(shape, heads), tapes);
  EXPECT_NEAR(fit.tapes[0].fitted_m, 2.412, 5e-4);
  for (const FittedTape& tape : fit.tapes) EXPECT_FALSE(tape.wrong);
  // Redundancy numbers of n equal readings of one unknown: 1 - 1/n (Baarda; here with a weak prior too).
  EXPECT_NEAR(fit.tapes[0].checked, 1 - 1.0 / 15, 2e-3);
}

TEST(FitTapes, FindsTheContradictingTapeAndItsError) {
  const CabinShape shape = body();
  std::vector<TapeLine> tapes;
  for (int i = 0; i < 4; ++i) tapes.push_back(between_points({0, 0, 0.2}, {2.4, 0, 0.2}, 2.4));
  tapes.push_back(between_points({0, 0, 0.2}, {2.4, 0, 0.2}, 2.5));
  const TapeFit fit = fit_tapes(shape, free_planes(shape, heads), tapes);
  for (std::size_t i = 0; i < 4; ++i) EXPECT_FALSE(fit.tapes[i].wrong);
  EXPECT_TRUE(fit.tapes[4].wrong);
  EXPECT_NEAR(fit.tapes[4].likely_error_m, 0.1, 1e-3);
}

TEST(FitTapes, NeverFlagsATapeThatNoOtherChecks) {
  const CabinShape shape = body();
  const TapeFit fit =
      fit_tapes(shape, free_planes(shape, heads),
                {between_points({0, 0, 0}, {2.4, 0, 0}, 2.5), between_points({0, 0, 0}, {0, 0, 1.2}, 1.3)});
  for (const FittedTape& tape : fit.tapes) {
    EXPECT_FALSE(tape.wrong);
    EXPECT_LT(tape.checked, 0.25);
  }
}

TEST(FitTapes, IsTheSameToTheLastBit) {
  const CabinShape shape = body();
  const std::vector<TapeLine> tapes{between_points({0, 0, 0.2}, {2.4, 0.5, 1.1}, 2.6),
                                    wall_to_wall({1.2, -0.35, 0.95}, Wall::left, Wall::right, 1.3)};
  const auto once = fit_tapes(shape, free_planes(shape, heads), tapes);
  const auto again = fit_tapes(shape, free_planes(shape, heads), tapes);
  EXPECT_EQ(once.warp.x(1.234), again.warp.x(1.234));
  EXPECT_EQ(once.tapes[1].fitted_m, again.tapes[1].fitted_m);
}

}  // namespace
}  // namespace cabinfield
