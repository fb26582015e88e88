#include "geometry/partition.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "geometry/diffraction_path.h"
#include "support/cabins.h"

namespace cabinfield {
namespace {

/// A sheet across a hall of 4 x 3 x 2 m at x = 2, wider and higher than the hall, with a hole of 0.4 x 0.3 m.
Partition upright_sheet(bool open) {
  Partition sheet;
  sheet.name = "plate";
  sheet.line = {Vector2(2, -0.1), Vector2(2, 2.1)};
  sheet.range = {-2, 2};
  sheet.material = 1;
  sheet.openings = {{"hatch", {2, 0.5, 1.0}, 0.4, 0.3, open}};
  return sheet;
}

Cabin hall_with(Partition sheet, std::vector<Block> blocks = {}) {
  CabinShape shape = test::box_shape_of({4, 3, 2});
  shape.blocks = std::move(blocks);
  shape.partitions = {std::move(sheet)};
  std::vector<ShapeProblem> problems;
  Cabin cabin = Cabin::build(shape, problems);
  EXPECT_TRUE(problems.empty()) << problems.front().message;
  return cabin;
}

std::string problems_of(const Partition& sheet) {
  CabinShape shape = test::box_shape_of({4, 3, 2});
  shape.partitions = {sheet};
  std::vector<ShapeProblem> problems;
  Cabin::build(shape, problems);
  std::string words;
  for (const ShapeProblem& problem : problems) {
    EXPECT_EQ(problem.object, ShapeProblem::Object::partition);
    words += problem.message + "\n";
  }
  return words;
}

TEST(Partition, IsAThinSolidWithTwoNamedFacesForRays) {
  const Cabin cabin = hall_with(upright_sheet(false));
  EXPECT_FALSE(cabin.in_air({2, 0, 1}));
  EXPECT_TRUE(cabin.in_air({2 - 0.6 * partition_thickness_m, 0, 1}));
  EXPECT_FALSE(cabin.segment_free({1, 0.5, 1}, {3, 0.5, 1}));
  for (const auto& [name, way] : {std::pair{"plate.front", -1.0}, {"plate.rear", 1.0}}) {
    const Landing landing = cabin.land({2, 0, 1}, name);
    ASSERT_GE(landing.face, 0) << name;
    EXPECT_DOUBLE_EQ(cabin.faces()[static_cast<std::size_t>(landing.face)].normal.x(), way);
    EXPECT_EQ(cabin.faces()[static_cast<std::size_t>(landing.face)].material, 1);
    EXPECT_TRUE(cabin.exposed(landing.face, landing.point));
  }
}

TEST(Partition, AFlatOneHasABottomAndATop) {
  Partition shelf;
  shelf.name = "shelf";
  shelf.line = {Vector2(4.1, 1.2), Vector2(2, 1)};
  shelf.range = {-2, 2};
  const Cabin cabin = hall_with(shelf);
  const Landing top = cabin.land({3, 0, 1.2}, "shelf.top"), bottom = cabin.land({3, 0, 1}, "shelf.bottom");
  ASSERT_GE(top.face, 0);
  ASSERT_GE(bottom.face, 0);
  EXPECT_GT(cabin.faces()[static_cast<std::size_t>(top.face)].normal.z(), 0.9);
  EXPECT_LT(cabin.faces()[static_cast<std::size_t>(bottom.face)].normal.z(), -0.9);
}

TEST(Partition, AnOpenOpeningIsAirAndAClosedOneIsNot) {
  for (const bool open : {false, true}) {
    const Cabin cabin = hall_with(upright_sheet(open));
    EXPECT_EQ(cabin.segment_free({1, 0.5, 1}, {3, 0.5, 1}), open);
    EXPECT_EQ(cabin.segment_free({1, 0.31, 0.86}, {3, 0.31, 0.86}), open) << "near its corner";
    EXPECT_FALSE(cabin.segment_free({1, 0.29, 1}, {3, 0.29, 1})) << "beside it";
    EXPECT_FALSE(cabin.segment_free({1, 0.5, 0.84}, {3, 0.5, 0.84})) << "below it";
    EXPECT_EQ(DiffractionPath(cabin).find({1, -1, 0.5}, {{3, -1, 0.5}}).front().exists, open);
  }
}

TEST(Partition, TheShortestPathBendsOverTheRimOfAnOpening) {
  // Both ends on one side of the hole, level with its middle: over its rim at y = 0.3, once on each face of
  // the sheet.
  const Cabin cabin = hall_with(upright_sheet(true));
  const Way way = DiffractionPath(cabin).find({1, -0.3, 1}, {{2.8, -0.1, 1}}).front();
  ASSERT_TRUE(way.exists);
  const double half = 0.5 * partition_thickness_m;
  EXPECT_NEAR(way.length_m, std::hypot(1 - half, 0.6) + 2 * half + std::hypot(0.8 - half, 0.4), 1e-6);
  for (const Vector3& bend : way.bends) EXPECT_NEAR(bend.y(), 0.3, 1e-9);
}

TEST(Partition, HasNoVolumeAndDoesNotMoveBlocks) {
  Block seat;
  seat.name = "seat";
  seat.corner = {{{1, 0}, ""}, {{1.5, 0}, ""}, {{1.5, 0.5}, ""}, {{1, 0.5}, ""}};
  seat.range = {-0.5, 0.5};
  const Cabin cabin = hall_with(upright_sheet(true), {seat});
  const auto& blocks = cabin.shape().blocks;
  ASSERT_EQ(blocks.size(), 3u);
  EXPECT_EQ(blocks[0].name, "seat");
  EXPECT_EQ(blocks[0].partition, -1);
  EXPECT_EQ(blocks[1].partition, 0);
  EXPECT_FALSE(blocks[1].cut);
  EXPECT_EQ(blocks[2].partition, 0);
  EXPECT_TRUE(blocks[2].cut);
  // Sampling lines 12 mm apart find the height of a block to within one spacing.
  EXPECT_NEAR(cabin.air_volume_m3(), 24 - 0.25, 0.012);
  // A shape that was already built gives the same cabin again.
  std::vector<ShapeProblem> problems;
  EXPECT_EQ(Cabin::build(cabin.shape(), problems).faces().size(), cabin.faces().size());
}

TEST(Partition, PositionOnASlantedOne) {
  Partition sheet;
  sheet.line = {Vector2(1, 0), Vector2(1.6, 0.8)};  // 1 m long, slanted as 3, 4, 5
  sheet.range = {-1, 1};
  const OnPartition at = on_partition(sheet, {1.3 + 0.08, 0.2, 0.4 - 0.06});
  EXPECT_NEAR(at.along_m, 0.5, 1e-12);
  EXPECT_NEAR(at.off_m, 0.1, 1e-12) << "rearward";
  EXPECT_LT((into_plane(sheet, {1.3 + 0.08, 0.2, 0.4 - 0.06}) - Vector3(1.3, 0.2, 0.4)).norm(), 1e-12);
}

TEST(Partition, ReportsGeometryErrors) {
  const Partition sound = upright_sheet(true);
  EXPECT_EQ(problems_of(sound), "");
  Partition point = sound;
  point.line[1] = point.line[0];
  EXPECT_NE(problems_of(point).find("0.0 mm apart"), std::string::npos);
  Partition narrow = sound;
  narrow.range = {0.5, 0.5};
  EXPECT_NE(problems_of(narrow).find("0.0 mm wide"), std::string::npos);
  Partition high = sound;
  high.openings[0].centre.z() = 2.0;
  EXPECT_NE(problems_of(high).find("opening 'hatch' of partition 'plate' reaches from 1950 to 2250 mm"),
            std::string::npos);
  Partition beside = sound;
  beside.openings[0].centre.y() = -1.9;
  EXPECT_NE(problems_of(beside).find("reaches from y -2100 to -1700 mm"), std::string::npos);
  Partition twice = sound;
  twice.openings.push_back({"other", {2, 0.8, 1.2}, 0.4, 0.3, false});
  EXPECT_NE(problems_of(twice).find("openings 'hatch' and 'other' of partition 'plate' overlap"),
            std::string::npos);
  twice.openings.back().centre.y() = 0.9;  // side by side, touching
  EXPECT_EQ(problems_of(twice), "");
}

TEST(DepthBehind, IsMeasuredAlongTheNormalOfTheFace) {
  // A slab slanted as 3, 4, 5: 1 m long, 0.1 m thick.
  Block back;
  back.corner = {{{0, 0}, ""}, {{0.6, 0.8}, ""}, {{0.68, 0.74}, ""}, {{0.08, -0.06}, ""}};
  for (const std::size_t face : {std::size_t{0}, std::size_t{2}})
    EXPECT_NEAR(depth_behind(back, face), 0.1, 1e-12);
  for (const std::size_t end : {std::size_t{1}, std::size_t{3}})
    EXPECT_NEAR(depth_behind(back, end), 1.0, 1e-12);
  std::reverse(back.corner.begin(), back.corner.end());
  EXPECT_NEAR(depth_behind(back, 0), 0.1, 1e-12) << "drawn the other way round";
}

}  // namespace
}  // namespace cabinfield
